/** A row of LANES values drawn by inversion, in the memory of the kernels. */
import { drawRow, type InverseTable, LENGTH } from "../chance/inverseTable.ts";
import { fillRandom, randomStart, type Stream } from "../chance/random.ts";
import { type Kernels, ROW } from "./kernels.ts";
import { LANES } from "./runs.ts";

const TABLE = 8 * LENGTH;

/** Most tables that the kernels keep at hand, 16 KiB each; from any further one is drawn without them. */
const MOST_TABLES = 1024;

export class RowDraw {
  /** The numbers drawn, 32 bits each, and what became of them. */
  readonly drawn: Int32Array;
  readonly values: Float64Array;
  /** Places of tables in the memory. */
  private readonly known = new Map<InverseTable, number>();

  /** Bytes that it takes up, with room for as many tables as it will be asked for. */
  static bytes(tables: number): number {
    // A number beyond a table's pieces is looked up too, up to a table further on, before it is solved.
    return 4 * LANES + ROW + TABLE * (Math.min(tables, MOST_TABLES) + 1);
  }

  /** @param at where its bytes begin, a multiple of 16; @param tables see {@link bytes} */
  constructor(
    private readonly buffer: ArrayBuffer,
    private readonly kernels: Kernels,
    private readonly at: number,
    private readonly tables: number,
  ) {
    this.drawn = new Int32Array(buffer, at, LANES);
    this.values = new Float64Array(buffer, this.valuesAt, LANES);
  }

  /** Place of `values`, in bytes. */
  get valuesAt(): number {
    return this.at + 4 * LANES;
  }

  /** Numbers of a stream alone, into `drawn`. */
  numbers(stream: Stream, seed: number, strip: number): void {
    fillRandom(this.drawn, LANES, seed, strip, stream);
  }

  /** Numbers of a stream, and as values `low` plus `width` times the quantiles that belong to them. */
  fill(table: InverseTable, stream: Stream, low: number, width: number, seed: number, strip: number): void {
    const { drawn, values } = this;
    const pieces = this.placeOf(table);
    if (pieces !== 0) {
      const [a, b, c] = randomStart(seed, strip, stream);
      if (this.kernels.draw(a, b, c, pieces, low, width, this.at, this.valuesAt) === 0) return;
    } else this.numbers(stream, seed, strip);
    drawRow(table, drawn, LANES, low, width, values, 0);
  }

  /** Raises e to the values. */
  exp(): void {
    this.kernels.exp(this.valuesAt);
  }

  /** Where a table stands in the memory; 0 where there is no room for it. */
  private placeOf(table: InverseTable): number {
    const { known } = this;
    const place = known.get(table);
    if (place !== undefined) return place;
    if (known.size >= Math.min(this.tables, MOST_TABLES)) return 0;
    const at = this.valuesAt + ROW + TABLE * known.size;
    new Float64Array(this.buffer, at, LENGTH).set(table.pieces);
    known.set(table, at);
    return at;
  }
}
