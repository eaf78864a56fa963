/**
 * How much is worked on at once over HTTP. Past it a request waits a moment, and is then refused (503, TOO_BUSY) before
 * anything of it is done: whoever is admitted is answered soon, however many ask. What sets the limit is time, not a number
 * that holds for one machine: as many are worked on as are answered within {@link WORKED}.
 */
import type { NextFunction, Request, Response } from "express";

/** Longest that a request waits to be worked on, and time in which those worked on are to be answered, in milliseconds. */
const WAIT = 250;
const WORKED = 120;
/** Fewest and most worked on at once; the fewest so that one that waits for the disk does not hold up all. */
const FEWEST = 2;
const MOST = 32;
/** Requests that wait: what they hold is at most their bodies. */
const MOST_WAITING = 256;
/** Seconds after which whoever is refused may ask again. */
const RETRY_AFTER = 1;

interface Place {
  /** Gives the place to the next one; done twice it is done once. */
  leave(): void;
}

interface Waiting {
  begin(): void;
  refuse(): void;
  since: number;
}

/** A middleware that admits as many requests as are answered in time, the others after a short wait or not. */
export function inFlight({ wait = WAIT, now = () => performance.now() }: { wait?: number; now?: () => number } = {}) {
  const line: Waiting[] = [];
  let worked = 0;
  let most = 8;
  /** What is worked on takes so long, milliseconds: the mean of the last ones. */
  let takes = 0;

  /** Fewer at once where they take long, one more now and then where they do not and others wait. */
  function learn(took: number): void {
    takes += (took - takes) / 16;
    if (takes > WORKED) most = Math.max(FEWEST, most * 0.97);
    else if (line.length > 0) most = Math.min(MOST, most + 0.1);
  }

  function next(): void {
    while (line.length > 0 && worked < Math.floor(most)) {
      const first = line.shift()!;
      if (now() - first.since > wait) first.refuse();
      else first.begin();
    }
  }

  function admit(response: Response, proceed: NextFunction): void {
    worked++;
    const began = now();
    let left = false;
    const leave = (): void => {
      if (left) return;
      left = true;
      worked--;
      next();
    };
    response.locals["place"] = { leave } satisfies Place;
    // Once the answer is written it no longer matters how slowly it is read.
    response.once("prefinish", () => {
      if (!left) learn(now() - began);
      leave();
    });
    response.once("close", leave);
    proceed();
  }

  return (_request: Request, response: Response, proceed: NextFunction): void => {
    if (worked < Math.floor(most)) {
      admit(response, proceed);
      return;
    }
    if (line.length >= MOST_WAITING) {
      refuse(response);
      return;
    }
    const settle = (): void => {
      clearTimeout(late);
      response.off("close", gone);
    };
    const one: Waiting = {
      since: now(),
      begin: () => {
        settle();
        admit(response, proceed);
      },
      refuse: () => {
        settle();
        refuse(response);
      },
    };
    const gone = (): void => {
      clearTimeout(late);
      const at = line.indexOf(one);
      if (at >= 0) line.splice(at, 1);
    };
    const late = setTimeout(() => {
      gone();
      one.refuse();
    }, wait);
    response.once("close", gone);
    line.push(one);
  };
}

/** A request that waits for something else than this thread gives up its place: what waits keeps nobody from being answered. */
export function leavePlace(response: Response | null): void {
  (response?.locals["place"] as Place | undefined)?.leave();
}

/**
 * What stays long is counted apart: at most so many at once, and none beyond its time.
 * @param lastsAtMost milliseconds after which the answer is ended; whoever still listens asks again
 */
export function atMost(most: number, lastsAtMost?: number) {
  let present = 0;
  return (_request: Request, response: Response, proceed: NextFunction): void => {
    if (present >= most) {
      refuse(response);
      return;
    }
    present++;
    const end = lastsAtMost === undefined ? undefined : setTimeout(() => response.destroy(), lastsAtMost).unref();
    response.once("close", () => {
      clearTimeout(end);
      present--;
    });
    proceed();
  };
}

/** In both shapes: of the files, and of GraphQL. */
function refuse(response: Response): void {
  const code = "TOO_BUSY";
  const message =
    "The server has more to do just now than it can keep up with. Nothing of this was done: try again in a moment.";
  response
    .status(503)
    .set("Retry-After", String(RETRY_AFTER))
    .json({ code, message, errors: [{ message, extensions: { code } }] });
}
