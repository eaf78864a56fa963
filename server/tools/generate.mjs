/** `npm run generate`: packages, database client and types of the API, as far as they are missing or out of date. */
import { prepare } from "./prepare.mjs";

try {
  await prepare({ client: false });
} catch (error) {
  console.error(error instanceof Error ? error.message : error);
  process.exitCode = 1;
}
