/** The browser that a request comes from: its cookie, and what keeps other sites from speaking in its name. */
import { setMaxListeners } from "node:events";
import { parseCookie, stringifySetCookie } from "cookie";
import type { NextFunction, Request, Response } from "express";
import { SIGN_IN_MS } from "../../access/signIn.ts";
import { SIGNED_OUT, type Viewer, viewerOf } from "../../access/viewer.ts";
import type { Store } from "../../store/client.ts";
import { leavePlace } from "../core/inFlight.ts";

/** Over https the name binds the cookie to this host and to https alone. */
const cookieName = (secure: boolean): string => (secure ? "__Host-lastbolt" : "lastbolt");

/** One request of a browser. */
export class Visit {
  /** What its cookie holds; null where it has none. */
  readonly secret: string | null;
  private asked: Promise<Viewer> | null = null;
  private leaving: AbortController | undefined;

  constructor(
    private readonly request: Request,
    private readonly response: Response | null,
  ) {
    this.secret = parseCookie(request.headers.cookie ?? "")[cookieName(request.secure)] ?? null;
  }

  /** Aborted once the browser has gone away before its answer: what is worked out for it alone is given up. */
  get gone(): AbortSignal {
    this.leaving ??= this.watch();
    return this.leaving.signal;
  }

  /** It waits for a thread from now on, and takes none of this one's time. */
  waitsElsewhere(): void {
    leavePlace(this.response);
  }

  private watch(): AbortController {
    const leaving = new AbortController();
    // Much may be worked out for one request, and each piece listens.
    setMaxListeners(0, leaving.signal);
    const { response } = this;
    const closed = (): void => {
      if (!response?.writableFinished) leaving.abort();
    };
    if (response?.closed) closed();
    else response?.once("close", closed);
    return leaving;
  }

  /** Where it comes from, for counting tries. */
  get address(): string {
    return this.request.ip ?? "";
  }

  /** As the browser names itself. */
  get browser(): string {
    return this.request.get("user-agent") ?? "";
  }

  /** Who asks, read once for the request. */
  viewer(store: Store): Promise<Viewer> {
    this.asked ??= this.viewerNow(store);
    return this.asked;
  }

  /** Who would ask by now. */
  viewerNow(store: Store): Promise<Viewer> {
    return viewerOf(store, this.secret);
  }

  /** Gives the browser its secret. No script can read it, and no other site's page sends it. */
  signIn(secret: string): void {
    this.set(secret, SIGN_IN_MS / 1_000);
  }

  /** Takes the secret away. In the demo, where nobody needs one, `stayOut` keeps it from beginning anew. */
  signOut(stayOut: boolean): void {
    if (stayOut) this.set(SIGNED_OUT, SIGN_IN_MS / 1_000);
    else this.set("", 0);
  }

  private set(value: string, maxAge: number): void {
    const { secure } = this.request;
    this.response?.append(
      "Set-Cookie",
      stringifySetCookie({
        name: cookieName(secure),
        value,
        maxAge,
        path: "/",
        httpOnly: true,
        sameSite: "strict",
        secure,
      }),
    );
  }
}

const visits = new WeakMap<Request, Visit>();

/** The visit that a request is: the same for all that look at it. */
export function visitOf(request: Request, response: Response): Visit {
  const known = visits.get(request) ?? new Visit(request, response);
  visits.set(request, known);
  return known;
}

/**
 * Refuses what the page of another site, or of another port of this machine, sends: reading, writing and downloading alike.
 * A browser says where a request comes from, in Origin or in Sec-Fetch-Site; a program that says neither has no cookie
 * that somebody else could use.
 */
export function ownPagesOnly(request: Request, response: Response, next: NextFunction): void {
  const origin = request.get("origin");
  const site = request.get("sec-fetch-site");
  const foreign =
    (origin !== undefined && hostOf(origin) !== request.host) || site === "cross-site" || site === "same-site";
  if (!foreign) {
    next();
    return;
  }
  refuseWith(response, 403, {
    code: "CROSS_SITE",
    message: "The request comes from a page of another site. Nothing was read or changed.",
  });
}

/** Refuses a request before anything reads it, in the shape of the files' answers and in that of GraphQL's. */
export function refuseWith(
  response: Response,
  status: number,
  { code, message }: { code: string; message: string },
): void {
  response.status(status).json({ code, message, errors: [{ message, extensions: { code } }] });
}

function hostOf(origin: string): string | null {
  return URL.canParse(origin) ? new URL(origin).host : null;
}
