/** Where another thread begins: it does not inherit the main one's way with TypeScript, so that is asked for here. */
import { register } from "tsx/esm/api";

register();
await import("./thread.ts");
