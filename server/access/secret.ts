/** Secrets of cookies and links: the holder has the secret, the database only its hash. */
import { createHash, randomBytes } from "node:crypto";

/** 256 bits of chance, as text that may stand in a cookie or an address. */
export const newSecret = (): string => randomBytes(32).toString("base64url");

/** What is stored of a secret. A secret of 256 bits cannot be guessed from its hash, so it needs no slow one. */
export const hashOf = (secret: string): string => createHash("sha256").update(secret).digest("hex");
