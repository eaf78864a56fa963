/** Values for arguments: such as the trade would give, or such as nobody should. Every choice comes from one seed. */
import { type GraphQLInputType, isEnumType, isInputObjectType, isListType, isNonNullType } from "graphql";
import { MODEL_NAMES } from "../support/marked.ts";
import { seeded } from "../support/networks.ts";
import { type Asker, type Row, type Snapshot, scopeOf, type World } from "./fuzzWorld.ts";

export class Dice {
  private readonly roll: () => number;
  constructor(seed: number) {
    this.roll = seeded(seed);
  }
  below(n: number): number {
    return Math.floor(this.roll() * n);
  }
  chance(p: number): boolean {
    return this.roll() < p;
  }
  one<T>(list: readonly T[]): T {
    return list[this.below(list.length)]!;
  }
}

/** Text that has broken programs before: none, NUL, half a character, words of the language, patterns, marks that turn text round. */
const ODD_TEXT = [
  "",
  " ",
  "\0",
  "a\0b",
  "\ud800",
  "x\udfff",
  "\u202e\u2066abc",
  "\ufeff",
  "e\u0301\u0301\u0301",
  "👩‍🔧🔩",
  "İıſK",
  "__proto__",
  "constructor",
  "toString",
  "null",
  "NaN",
  "-0",
  "1e999",
  "9007199254740993",
  "%00",
  "%s%n",
  "' OR 1=1 --",
  '"*" NEAR(',
  "(((((",
  "[a-",
  "\\",
  "$&",
  "{{x}}",
  "<script>",
  "=1+1",
  "\r\n\r\nSet-Cookie: a=b",
  "../../etc",
  "row -1",
  "x".repeat(300),
  "word ".repeat(3_000),
  "é".repeat(20_000),
] as const;

const ODD_NUMBERS = [
  0, -0, -1, 1, 2_147_483_647, -2_147_483_648, 2_147_483_648, 9_007_199_254_740_994, 1e308, -1e308, 5e-324, 1e-300, 0.1,
  99_999_999.5, 1.5,
] as const;

const ODD_DATES = [
  "1000-01-01",
  "9999-12-31",
  "0000-01-01",
  "2027-02-29",
  "2028-02-29",
  "2027-13-01",
  "2027-1-1",
  "2027-01-01T00:00:00Z",
  "20270101",
  "-2027-01-01",
  "",
  "tomorrow",
] as const;

/** Of another kind than the one asked for. */
const ODD_KINDS = [null, true, 12, "text", [], {}, [[]], { id: "x" }] as const;

const WORDS = "magneto bellows axle brass shaft quill lane valve piston Tallow Wren bolt 1913 crankcase".split(" ");

/** Models that an argument's name does not say by itself. */
const NAMED: Readonly<Record<string, string>> = {
  before: "Operation",
  after: "Operation",
  way: "OperationWay",
  feed: "CalendarFeed",
  entry: "HoursBooked",
  ownpart: "Part",
  answercomplaint: "ClubComplaint",
  endsignin: "SignIn",
  source: "ClubSource",
  message: "MatchMessage",
};

const modelNamed = (name: string): string | undefined => {
  const plain = name.toLowerCase().replaceAll("_", "");
  return NAMED[plain] ?? MODEL_NAMES.find((model) => model.toLowerCase() === plain);
};

/** Ids and revisions of rows that are there, picked for one asker: mostly from one restoration of its own. */
export class Ids {
  private readonly focus: string | undefined;

  constructor(
    private readonly dice: Dice,
    private readonly world: World,
    private readonly snapshot: Snapshot,
    private readonly asker: Asker,
    private readonly jobs: readonly string[],
  ) {
    const own = this.rows("Restoration").filter((row) => row["workshopId"] === asker.viewer.workshopId);
    this.focus = own.length === 0 ? undefined : dice.one(own).id;
  }

  /** The id of a row of a kind, mostly one that goes with the asker. */
  of(noun: string): string {
    const { dice } = this;
    if (noun === "job") return this.jobs.length > 0 && dice.chance(0.8) ? dice.one(this.jobs) : "no such job";
    const model = modelNamed(noun) ?? dice.one(MODEL_NAMES);
    const all = this.rows(model);
    if (all.length === 0) return "none";
    if (dice.chance(0.15)) return dice.one(all).id;
    const focused = this.own(model, all);
    return dice.one(focused.length > 0 ? focused : all).id;
  }

  /** Restorations may be removed, but not those with which the fuzz began. */
  removable(noun: string): string {
    const id = this.of(noun);
    return this.world.isKept(id) ? "kept" : id;
  }

  revisionOf(id: string): number {
    return Number(this.snapshot.rows.get(id)?.row["revision"] ?? 1);
  }

  private own(model: string, all: readonly Row[]): readonly Row[] {
    const { viewer, memberId } = this.asker;
    return all.filter(({ id }) => {
      const scope = scopeOf(this.snapshot, id);
      if (scope.member !== undefined) return scope.member === memberId || model === "Batch";
      if (scope.restoration !== undefined) return scope.restoration === this.focus;
      return scope.workshop === viewer.workshopId;
    });
  }

  private rows(model: string): readonly Row[] {
    return this.snapshot.byModel.get(model) ?? [];
  }
}

/** Makes the values of one request: `odd` is the share of them that nobody should send, `given` of what may be left out. */
export class Values {
  constructor(
    private readonly dice: Dice,
    readonly ids: Ids,
    private readonly odd: number,
    private readonly given: number,
  ) {}

  /** Undefined where it is left out. `noun` is what an `id` there is of. */
  of(type: GraphQLInputType, name: string, noun: string): unknown {
    const { dice } = this;
    const needed = isNonNullType(type);
    if (!needed && name !== "first" && !dice.chance(this.given)) return dice.chance(0.1) ? null : undefined;
    if (dice.chance(this.odd * 0.1)) return dice.one(ODD_KINDS);
    return this.value(needed ? type.ofType : type, name, noun);
  }

  private value(type: GraphQLInputType, name: string, noun: string): unknown {
    const { dice } = this;
    if (isNonNullType(type)) return this.value(type.ofType, name, noun);
    if (isListType(type)) {
      const count = dice.chance(this.odd * 0.2) ? 300 : dice.below(4);
      return Array.from({ length: count }, () => this.value(type.ofType, name, noun));
    }
    if (isInputObjectType(type)) return this.input(type, noun);
    if (isEnumType(type)) return dice.chance(this.odd * 0.1) ? "OTHER" : dice.one(type.getValues()).name;
    const odd = dice.chance(this.odd);
    if (type.name === "ID") return odd ? dice.one(ODD_TEXT) : this.ids.of(name === "id" ? noun : name);
    if (type.name === "Boolean") return dice.chance(0.5);
    if (type.name === "Date") return odd ? dice.one(ODD_DATES) : this.date();
    if (type.name === "Int" || type.name === "Minor") return odd ? dice.one(ODD_NUMBERS) : this.int(name);
    if (type.name === "Float") return odd ? dice.one(ODD_NUMBERS) : this.float(name);
    return odd ? dice.one(ODD_TEXT) : this.text(name);
  }

  /** A row's input: without an id to add one, or with the revision at which the row stands. */
  private input(type: GraphQLInputType & { name: string; getFields(): object }, noun: string): Record<string, unknown> {
    const { dice } = this;
    const fields = type.getFields() as Record<string, { name: string; type: GraphQLInputType }>;
    const made: Record<string, unknown> = {};
    for (const field of Object.values(fields)) {
      const value = this.of(field.type, field.name, type.name.replace(/Input$/, "") || noun);
      if (value !== undefined) made[field.name] = value;
    }
    if (!("id" in fields) || dice.chance(this.odd)) return made;
    if (dice.chance(0.5) && !isNonNullType(fields["id"]!.type)) {
      delete made["id"];
      delete made["revision"];
    } else {
      const id = this.ids.of(type.name.replace(/Input$/, ""));
      Object.assign(made, { id, revision: this.ids.revisionOf(id) });
    }
    return made;
  }

  private date(): string {
    return new Date(Date.UTC(2026, 8, 1) + this.dice.below(400) * 86_400_000).toISOString().slice(0, 10);
  }

  private int(name: string): number {
    if (name === "first" || name === "last") return 1 + this.dice.below(3);
    if (/Minor$/.test(name)) return this.dice.below(200_000);
    if (name === "revision") return 1 + this.dice.below(3);
    return this.dice.below(/[dD]ays$/.test(name) ? 90 : 12);
  }

  private float(name: string): number {
    if (/chance|confidence/i.test(name)) return 0.05 + this.dice.below(90) / 100;
    return this.dice.below(80) / 4;
  }

  private text(name: string): string {
    const { dice } = this;
    if (/^(currency|base|counter)$/.test(name)) return dice.one(["GBP", "EUR", "USD", "JPY", "KWD"]);
    if (name === "country") return dice.one(["GB", "DE", ""]);
    if (name === "rate") return dice.one(["1.17", "0.0061", "160.25"]);
    if (/^(after|before)$/.test(name)) return Buffer.from(`row ${dice.below(5)}`).toString("base64url");
    if (/^(code|clientKey|number)$/.test(name)) return `F${dice.below(100_000)}`;
    if (name === "email") return `f${dice.below(50)}@example.org`;
    if (name === "csv") return `Date,USD,JPY\n2027-01-0${1 + dice.below(9)},1.1,${dice.below(200)}\n`;
    if (name === "reason") return dice.chance(0.3) ? "" : "unsuitable";
    return Array.from({ length: 1 + dice.below(3) }, () => dice.one(WORDS)).join(" ");
  }
}
