/** Where the other thread begins: a thread does not inherit the main one's way with TypeScript, so it is asked for here. */
import { register } from "tsx/esm/api";

register();
await import("./choicesThread.ts");
