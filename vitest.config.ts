import { fileURLToPath } from "node:url";
import { defineConfig } from "vitest/config";

// What Node itself loads for "graphql", so that tests and packages share one copy of it.
const graphql = fileURLToPath(new URL("./node_modules/graphql/index.js", import.meta.url));

export default defineConfig({
  resolve: { alias: [{ find: /^graphql$/, replacement: graphql }] },
  test: {
    globalSetup: ["tests/support/once.ts"],
    projects: [
      {
        extends: true,
        test: {
          name: "unit",
          include: ["tests/{engine,reference,store,io,plan,web}/**/*.test.{ts,tsx}"],
          testTimeout: 30_000,
          hookTimeout: 60_000,
        },
      },
      {
        extends: true,
        test: { name: "api", include: ["tests/{api,agree}/**/*.test.ts"], testTimeout: 30_000, hookTimeout: 60_000 },
      },
      {
        extends: true,
        test: {
          name: "browser",
          include: ["tests/browser/**/*.test.ts"],
          fileParallelism: false,
          maxWorkers: 1,
          // For a machine that has much else to do: they matter only where something fails.
          testTimeout: 300_000,
          hookTimeout: 300_000,
          expect: { poll: { timeout: 60_000, interval: 100 } },
        },
      },
    ],
  },
});
