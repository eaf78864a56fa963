/**
 * How much is worked on at once over HTTP. Past it a request waits a moment, and is then refused (503, TOO_BUSY) before
 * anything of it is done: whoever is admitted is answered soon, however many ask. What sets the limit is time, not a number
 * that holds for one machine: as many are worked on as are answered within {@link WORKED}.
 */
import type { NextFunction, Request, Response } from "express";
import { Kind, parse } from "graphql";

/** Longest that a request waits to be worked on, and time in which those worked on are to be answered, in milliseconds. */
const WAIT = 160;
const WORKED = 100;
/** Fewest and most worked on at once; the fewest so that one that waits for the disk does not hold up all. */
const FEWEST = 4;
const MOST = 32;
/** Requests that wait, or are held until they are refused. */
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

/**
 * Two middlewares, to be taken in this order, that admit as many requests as are answered in time. Where more wait than will be
 * taken up in time, `hold` holds a request back and then refuses it, so that whoever asks again at once asks no oftener than
 * that; `admit` lets the others in one after the other. Bodies are read before, so that a slow one takes up no place.
 */
export function inFlight({ wait = WAIT, now = () => performance.now() }: { wait?: number; now?: () => number } = {}) {
  const line: Waiting[] = [];
  let worked = 0;
  let most = 8;
  /** What is worked on takes so long, milliseconds: the mean of the last ones. */
  let takes = 20;
  let held = 0;
  let urgent = 0;

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

  /** As many as are taken up before they have waited too long. */
  const room = (): number => Math.min(MOST_WAITING, (most * wait) / Math.max(1, takes));

  function hold(request: Request, response: Response, proceed: NextFunction): void {
    if (ofJobs(request.body) && urgent < MOST_WAITING) {
      urgent++;
      response.once("close", () => urgent--);
      response.locals["urgent"] = true;
      proceed();
      return;
    }
    if (worked < Math.floor(most) || line.length < room()) {
      proceed();
      return;
    }
    if (held >= MOST_WAITING) {
      refuse(response);
      return;
    }
    held++;
    const leave = (): void => {
      clearTimeout(late);
      response.off("close", leave);
      held--;
    };
    const late = setTimeout(() => {
      leave();
      refuse(response);
    }, wait);
    response.once("close", leave);
  }

  function begin(response: Response, proceed: NextFunction): void {
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

  function admit(_request: Request, response: Response, proceed: NextFunction): void {
    if (response.locals["urgent"] === true) {
      proceed();
      return;
    }
    if (worked < Math.floor(most)) {
      begin(response, proceed);
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
        begin(response, proceed);
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
  }

  return { hold, admit };
}

/** Longest question of which it is looked at what it asks, in characters. */
const MOST_LOOKED_AT = 2_000;
const JOB_FIELDS = new Set(["job", "stopJob"]);

/** Whether nothing is asked but how a job is, or to stop one: what gives the server less to do is not refused for having too much. */
function ofJobs(body: unknown): boolean {
  const query = (body as { query?: unknown } | undefined)?.query;
  if (typeof query !== "string" || query.length > MOST_LOOKED_AT || !/\b(job|stopJob)\b/.test(query)) return false;
  try {
    const [operation, ...others] = parse(query, { noLocation: true }).definitions;
    return (
      others.length === 0 &&
      operation?.kind === Kind.OPERATION_DEFINITION &&
      operation.selectionSet.selections.length === 1 &&
      operation.selectionSet.selections.every((one) => one.kind === Kind.FIELD && JOB_FIELDS.has(one.name.value))
    );
  } catch {
    return false;
  }
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

const CODE = "TOO_BUSY";
const MESSAGE =
  "The server has more to do just now than it can keep up with. Nothing of this was done: try again in a moment.";
/** In both shapes: of the files, and of GraphQL. */
const REFUSAL = JSON.stringify({
  code: CODE,
  message: MESSAGE,
  errors: [{ message: MESSAGE, extensions: { code: CODE } }],
});

/** To refuse must cost next to nothing: it is done most when there is least time. */
function refuse(response: Response): void {
  response
    .writeHead(503, {
      "content-type": "application/json; charset=utf-8",
      "content-length": Buffer.byteLength(REFUSAL),
      "retry-after": String(RETRY_AFTER),
    })
    .end(REFUSAL);
}
