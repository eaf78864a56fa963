/**
 * How often signing in may be tried. Failures count for an e-mail and an address together, so that
 * somebody who guesses elsewhere cannot keep the account's holder out; and for an address over all e-mails.
 */
import { RateLimiterMemory, type RateLimiterRes } from "rate-limiter-flexible";
import { Refused } from "../store/fault.ts";

/** Failures within the time, in seconds, after which the time itself must pass. */
const ONE_ACCOUNT = { points: 5, duration: 15 * 60 };
const ONE_ADDRESS = { points: 60, duration: 15 * 60 };

export class Tries {
  private readonly ofAccount = new RateLimiterMemory(ONE_ACCOUNT);
  private readonly ofAddress = new RateLimiterMemory(ONE_ADDRESS);

  /** Counts one try. Throws {@link Refused} (TOO_MANY_TRIES) where there were too many. */
  async begin(email: string, address: string): Promise<void> {
    try {
      await this.ofAddress.consume(address);
      await this.ofAccount.consume(`${address} ${email}`);
    } catch (error) {
      if (error instanceof Error) throw error;
      const minutes = Math.max(1, Math.ceil((error as RateLimiterRes).msBeforeNext / 60_000));
      throw new Refused(
        "TOO_MANY_TRIES",
        `There were too many tries from here. Try again in ${minutes} ${minutes === 1 ? "minute" : "minutes"}, or ask for a new link.`,
      );
    }
  }

  /** The try succeeded: it and the failures before it count no more. */
  async succeeded(email: string, address: string): Promise<void> {
    await this.ofAccount.delete(`${address} ${email}`);
    await this.ofAddress.reward(address);
  }
}
