/**
 * Strips of runs handed out in turn to the threads of one simulation, over memory that they share. One thread leads: it
 * opens strips and waits until all of them are drawn; the others help. Which thread draws a strip changes nothing, since
 * a strip's runs depend on the seed and its number alone. Threads stop between strips, so that every strip that was taken is
 * drawn, and the simulation can go on from there.
 */

const NEXT = 0;
const LIMIT = 1;
const DRAWN = 2;
/** 1 once it is to stop. */
const STOPPING = 3;
/** As a limit: there will be no more strips. */
const OVER = -1;

/** Memory for {@link Turns}: four numbers of 32 bits. */
export const turnsMemory = (): Int32Array => new Int32Array(new SharedArrayBuffer(16));

/** Thrown by the leading thread where it was stopped before there were enough runs. */
export class RunsStopped extends Error {
  constructor() {
    super("The runs were stopped.");
    this.name = "RunsStopped";
  }
}

export class Turns {
  constructor(private readonly places: Int32Array) {}

  /** Opens all strips before `limit`. */
  open(limit: number): void {
    Atomics.store(this.places, LIMIT, limit);
    Atomics.notify(this.places, LIMIT);
  }

  /** Lets the helpers go. */
  close(): void {
    this.open(OVER);
  }

  /** Asks all threads to stop once they have drawn the strip that each has taken. */
  stop(): void {
    Atomics.store(this.places, STOPPING, 1);
  }

  get stopping(): boolean {
    return Atomics.load(this.places, STOPPING) === 1;
  }

  /** Makes ready to go on after the threads have stopped; strips that are drawn are not handed out again. */
  goOn(): void {
    Atomics.store(this.places, STOPPING, 0);
    Atomics.store(this.places, LIMIT, 0);
  }

  /** The next strip to draw; -1 when all that are open have been taken, or when it is to stop. */
  take(): number {
    const { places } = this;
    for (;;) {
      const next = Atomics.load(places, NEXT);
      if (this.stopping || next >= Atomics.load(places, LIMIT)) return -1;
      if (Atomics.compareExchange(places, NEXT, next, next + 1) === next) return next;
    }
  }

  /** Says that a taken strip is drawn. */
  done(): void {
    Atomics.add(this.places, DRAWN, 1);
    Atomics.notify(this.places, DRAWN);
  }

  get drawn(): number {
    return Atomics.load(this.places, DRAWN);
  }

  /** Whether every strip that was taken is drawn: only then can the simulation go on. */
  get whole(): boolean {
    return Atomics.load(this.places, NEXT) === this.drawn;
  }

  /** Waits until every open strip is drawn; false where it stopped before. */
  awaitDrawn(): boolean {
    const { places } = this;
    const limit = Atomics.load(places, LIMIT);
    for (let drawn = this.drawn; drawn < limit; drawn = this.drawn) {
      if (this.stopping) return false;
      Atomics.wait(places, DRAWN, drawn);
    }
    return true;
  }

  /** Waits until there is a strip to take; false once there will be none. */
  awaitOpen(): boolean {
    const { places } = this;
    for (;;) {
      const limit = Atomics.load(places, LIMIT);
      if (limit === OVER) return false;
      if (Atomics.load(places, NEXT) < limit) return true;
      Atomics.wait(places, LIMIT, limit);
    }
  }
}
