/** Where the server is to listen, and why it cannot. Plain Node: it is asked before anything is installed. */
import { createServer } from "node:net";

export const host = process.env["HOST"] || "127.0.0.1";
export const port = Number(process.env["PORT"] || 4173);

const MOST_PORT = 65_535;
const reached = host === "0.0.0.0" || host === "::" ? "127.0.0.1" : host.includes(":") ? `[${host}]` : host;

/** What is wrong with PORT, in words; null where nothing is. */
export function portFault() {
  if (Number.isInteger(port) && port >= 0 && port <= MOST_PORT) return null;
  return `PORT must be a whole number from 0 to ${MOST_PORT}; it is ${process.env["PORT"]}.`;
}

/**
 * Why nothing can listen there, in words.
 * @param {NodeJS.ErrnoException} error
 */
export function whyNot({ code, message }) {
  if (code === "EADDRINUSE")
    return `Port ${port} of ${host} is in use. If Lastbolt runs there already, open http://${reached}:${port}/. Otherwise stop what uses it, or choose another: PORT=${port < MOST_PORT ? port + 1 : port - 1} npm start`;
  if (code === "EACCES") return `Port ${port} of ${host} may not be used by this account. Choose one above 1023.`;
  return `The server cannot listen on ${host}, port ${port}: ${message}`;
}

/**
 * Tries the port for a moment.
 * @returns {Promise<string | null>} why it cannot be had, in words; null where it can
 */
export function cannotListen() {
  const fault = portFault();
  if (fault !== null) return Promise.resolve(fault);
  return new Promise((resolve) => {
    const trial = createServer();
    trial.once("error", (error) => resolve(whyNot(error)));
    trial.listen(port, host, () => trial.close(() => resolve(null)));
  });
}
