/** How long work takes, a strip of runs at a time: what all work of a trade has in common, then each row's own hours. */
import { drawFrom, normalTable } from "../chance/inverseTable.ts";
import { fillRandom, type Stream, streamOf } from "../chance/random.ts";
import type { RowDraw } from "./draw.ts";
import type { UncertainRows } from "./modelRows.ts";
import { LANES } from "./runs.ts";
import type { TradeFactor } from "./uncertainty.ts";

const SHOP: Stream = streamOf("shop factor");

/** The factors by which the estimates of the trades are taken: wherever hours are drawn, these are those of the run. */
export class TradeFactors {
  /** By trade, in the runs of the strip that was begun. */
  readonly of: readonly Float64Array[];
  private readonly streams: readonly Stream[];
  private readonly shop = new Int32Array(LANES);
  private readonly own = new Int32Array(LANES);

  constructor(private readonly trades: readonly TradeFactor[]) {
    this.of = trades.map(() => new Float64Array(LANES));
    this.streams = trades.map(({ id }) => streamOf(`${id} trade factor`));
  }

  /** Draws them for the runs of a strip. */
  begin(seed: number, strip: number): void {
    if (this.trades.length === 0) return;
    const table = normalTable();
    fillRandom(this.shop, LANES, seed, strip, SHOP);
    this.trades.forEach(({ mean, shop, own }, t) => {
      fillRandom(this.own, LANES, seed, strip, this.streams[t]!);
      const factors = this.of[t]!;
      for (let i = 0; i < LANES; i++)
        factors[i] = Math.exp(mean + shop * drawFrom(table, this.shop[i]!) + own * drawFrom(table, this.own[i]!));
    });
  }
}

/** The hours of the rows. */
export class HoursDraw {
  private readonly factors: TradeFactors;

  constructor(
    private readonly rows: UncertainRows,
    private readonly rowDraw: RowDraw,
  ) {
    this.factors = new TradeFactors(rows.trades);
  }

  /** Draws what the work of each trade has in common in the runs of a strip. */
  begin(seed: number, strip: number): void {
    this.factors.begin(seed, strip);
  }

  /** Hours of a row in the runs of the strip that was begun, into the values of the draw. */
  fill(row: number, seed: number, strip: number): void {
    const { fixedHours, drawnHours, tradeOf } = this.rows;
    const { rowDraw } = this;
    const own = drawnHours[row]!;
    if (own === null) rowDraw.values.fill(fixedHours[row]!);
    else rowDraw.fill(own.table, own.stream, own.low, own.width, seed, strip);
    const factors = this.factors.of[tradeOf[row]!];
    if (factors === undefined) return;
    const { values } = rowDraw;
    for (let i = 0; i < LANES; i++) values[i]! *= factors[i]!;
  }
}
