import { fileURLToPath } from "node:url";
import react from "@vitejs/plugin-react";
import { defineConfig } from "vite";
import { fieldFiles } from "./web/field/build.ts";

const here = (place: string): string => fileURLToPath(new URL(place, import.meta.url));
const server = `http://127.0.0.1:${process.env["PORT"] ?? 4173}`;
const FIELD_WORKER = "field-worker";

export default defineConfig({
  root: here("./web/"),
  plugins: [react(), fieldFiles(FIELD_WORKER)],
  build: {
    outDir: here("./dist/"),
    emptyOutDir: true,
    chunkSizeWarningLimit: 1_000,
    rolldownOptions: {
      input: { main: here("./web/index.html"), [FIELD_WORKER]: here("./web/field/serviceWorker.ts") },
      // A worker is known by its address, so its name carries no hash.
      output: {
        entryFileNames: (chunk) => (chunk.name === FIELD_WORKER ? "[name].js" : "assets/[name]-[hash].js"),
      },
    },
  },
  // `npx vite` serves the client while it is being worked on; the server of `npm start` answers for the rest.
  server: {
    host: "127.0.0.1",
    proxy: { "/graphql": server, "/import": server, "/export": server, "/templates.zip": server },
  },
});
