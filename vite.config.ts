import { fileURLToPath } from "node:url";
import react from "@vitejs/plugin-react";
import { defineConfig } from "vite";

const here = (place: string): string => fileURLToPath(new URL(place, import.meta.url));
const server = `http://127.0.0.1:${process.env["PORT"] ?? 4173}`;

export default defineConfig({
  root: here("./web/"),
  plugins: [react()],
  build: { outDir: here("./dist/"), emptyOutDir: true, chunkSizeWarningLimit: 1_000 },
  // `npx vite` serves the client while it is being worked on; the server of `npm start` answers for the rest.
  server: {
    host: "127.0.0.1",
    proxy: { "/graphql": server, "/import": server, "/export": server, "/templates.zip": server },
  },
});
