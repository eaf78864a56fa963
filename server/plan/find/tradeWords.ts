/**
 * Words by which the trade calls one thing, here and elsewhere, then and now: looked for, each also finds the others.
 * Common practice, no source. Only what is the same part stands together: a hood is a top in one country and a bonnet in
 * another, so it stands nowhere.
 */
const SAME: readonly string[] = [
  "headlamp headlight",
  "lamp light",
  "casing case housing",
  "petrol fuel gasoline",
  "tap cock",
  "tyre tire",
  "windscreen windshield",
  "mudguard wing fender",
  "sprocket chain-wheel",
  "leather hide",
  "leaf elliptic",
  "kingpin swivel-pin",
  "gudgeon-pin wrist-pin piston-pin",
  "silencer muffler",
  "gearbox transmission",
  "carburettor carburetor carb",
  "dynamo generator",
  "speedometer speed-indicator",
  "accumulator battery",
  "aluminium aluminum alloy",
  "bush bushing",
  "lining facing",
  "magneto mag",
  "number-plate registration-plate license-plate",
  "paraffin kerosene",
  "spanner wrench",
];

const others = new Map<string, string[][]>();
for (const line of SAME) {
  const names = line.split(" ");
  for (const name of names) {
    const rest = names.filter((other) => other !== name).map((other) => other.split("-"));
    others.set(name.replace("-", ""), rest);
  }
}

/** Other names of what a word names, each as its words; several words are looked up run together: "chainwheel". */
export const otherNames = (word: string): readonly (readonly string[])[] =>
  others.get(word) ?? others.get(word.replace(/s$/, "")) ?? [];
