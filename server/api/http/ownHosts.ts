/**
 * By which names this server answers. A page elsewhere can let its own name lead to this machine (DNS rebinding), and
 * would then read everything as if it were ours; the name that it was reached by stands in Host, which no page can choose.
 */
import { networkInterfaces } from "node:os";
import type { RequestHandler } from "express";
import { refuseWith } from "./visit.ts";

export interface Reached {
  /** What the server listens on: a name or an address, 0.0.0.0 or :: for every one that this machine has. */
  host?: string | undefined;
  /** Where people reach it by another name, such as https://bench.example.org. */
  address?: string | undefined;
}

const LOOPBACK = /^(localhost|.+\.localhost|127\.\d{1,3}\.\d{1,3}\.\d{1,3}|\[::1\])$/;

/** Addresses at which others in the shop reach this machine. They may change while it runs. */
const ofThisMachine = (family: "IPv4" | "IPv6"): string[] =>
  Object.values(networkInterfaces())
    .flatMap((addresses) => addresses ?? [])
    .filter((one) => one.family === family && !one.internal && (one.scopeid ?? 0) === 0)
    .map(({ address }) => address);

const isEvery = (host: string): boolean => host === "0.0.0.0" || host === "::";

const inAddress = (host: string): string => (host.includes(":") ? `[${host}]` : host);

/** The name in a Host header as browsers write it, without its port; null where it is none. */
function nameIn(header: string | undefined): string | null {
  if (header === undefined || !/^(\[[\da-f:.]+\]|[^\s:/?#@[\]\\]+)(:\d*)?$/i.test(header)) return null;
  return URL.canParse(`http://${header}`) ? new URL(`http://${header}`).hostname.replace(/\.$/, "") : null;
}

/** Refuses what was not sent to this machine itself or to the address that it is known by. */
export function ownHostsOnly({ host = "127.0.0.1", address }: Reached): RequestHandler {
  const known = new Set([nameIn(inAddress(host)), address === undefined ? null : nameIn(new URL(address).host)]);
  return (request, response, next) => {
    // Not the name that a proxy passes on: any page could write that.
    const name = nameIn(request.headers.host);
    const own =
      name !== null &&
      (LOOPBACK.test(name) ||
        known.has(name) ||
        (isEvery(host) && (ofThisMachine("IPv4").includes(name) || ofThisMachine("IPv6").includes(name.slice(1, -1)))));
    if (own) return next();
    refuseWith(response, 421, {
      code: "UNKNOWN_HOST",
      message: `Lastbolt does not answer to the name ${JSON.stringify((request.headers.host ?? "").slice(0, 100))}. If it should, whoever runs this server finds in DEVELOPERS.md, under its address, how to tell it so.`,
    });
  };
}

/** Where the server is reached, once it listens: from this machine, and where others may, from elsewhere in the shop. */
export function reachedAt(host: string, port: number): { here: string; inTheShop: string[] } {
  const at = (name: string) => `http://${inAddress(name)}:${port}`;
  if (!isEvery(host)) return { here: at(host), inTheShop: [] };
  return { here: at(host === "::" ? "::1" : "127.0.0.1"), inTheShop: ofThisMachine("IPv4").map(at) };
}
