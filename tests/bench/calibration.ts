/**
 * Whether what the program says comes true as often as it says: workshops drawn from the priors that it states, worked to
 * their end by a simulator of its own (simulation-based calibration: S. Talts, M. Betancourt, D. Simpson, A. Vehtari and
 * A. Gelman, 2018). `npm run bench -- calibration [--workshops 1600] [--runs 2048]`; progress on standard error.
 */
import { parseArgs } from "node:util";
import { type Claims, claimsOf } from "../support/calibration/claims.ts";
import { drawWorkshop } from "../support/calibration/workshop.ts";
import { figure } from "./measure.ts";

const BINS = 10;

export async function calibration(options: string[]): Promise<void> {
  const { values } = parseArgs({
    args: options,
    options: { workshops: { type: "string", default: "1600" }, runs: { type: "string", default: "2048" } },
  });
  const [workshops, runs] = [Number(values.workshops), Number(values.runs)];
  tell("calibration", await claims(workshops, runs, false));
  // Beyond what the model knows: told, and held to nothing.
  tell("calibration.outside", await claims(Math.ceil(workshops / 4), runs, true));
  figure("calibration.workshops", workshops, "workshops");
  figure("calibration.runs", runs, "runs");
}

async function claims(workshops: number, runs: number, outside: boolean): Promise<Claims[]> {
  const all: Claims[] = [];
  for (let seed = 1; seed <= workshops; seed++) {
    all.push(await claimsOf(drawWorkshop(seed, outside), runs));
    if (seed % 100 === 0) console.error(`${seed} of ${workshops} workshops${outside ? ", outside the model" : ""}`);
  }
  return all;
}

function tell(name: string, all: readonly Claims[]): void {
  const share = (of: (claims: Claims) => boolean): number => all.filter(of).length / all.length;
  figure(
    `${name}.even`,
    share(({ even }) => even),
    "share",
  );
  figure(
    `${name}.4in5`,
    share(({ fourInFive }) => fourInFive),
    "share",
  );
  figure(
    `${name}.19in20`,
    share(({ nineteenInTwenty }) => nineteenInTwenty),
    "share",
  );
  figure(
    `${name}.money.4in5`,
    share(({ money }) => money),
    "share",
  );
  // A flat histogram is what a model that is right gives; its mean in each tenth is 0.1.
  for (const [rank, of] of [
    ["date", "dateRank"],
    ["money", "moneyRank"],
  ] as const)
    for (let bin = 0; bin < BINS; bin++)
      figure(
        `${name}.${rank}.rank${bin + 1}of${BINS}`,
        share((claims) => Math.min(BINS - 1, Math.floor(claims[of] * BINS)) === bin),
        "share",
      );
}
