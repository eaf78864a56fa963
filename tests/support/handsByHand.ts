/** The least end of small work in whole hours, by going hour by hour through every way to put hands to what can be begun. */
interface Work {
  hours: number;
  trade: string;
}

export function leastEnd(
  work: readonly Work[],
  before: readonly (readonly number[])[],
  hands: readonly string[][],
): number {
  let least = work.reduce((sum, { hours }) => sum + hours, 0);
  const end = new Array<number>(work.length).fill(-1);
  const freeAt = hands.map(() => 0);

  const at = (hour: number): void => {
    if (hour >= least) return;
    if (end.every((e) => e >= 0)) {
      least = Math.min(least, Math.max(...end));
      return;
    }
    const can = work.flatMap((_, i) =>
      end[i]! < 0 && before.every(([a, b]) => b !== i || (end[a!]! >= 0 && end[a!]! <= hour)) ? [i] : [],
    );
    const choose = (from: number): void => {
      if (from === can.length) {
        if (end.every((e) => e >= 0)) at(hour);
        else if (hour < 40) at(hour + 1);
        return;
      }
      const i = can[from]!;
      choose(from + 1);
      hands.forEach((trades, h) => {
        if (freeAt[h]! > hour || !trades.includes(work[i]!.trade)) return;
        const was = freeAt[h]!;
        freeAt[h] = end[i] = hour + work[i]!.hours;
        choose(from + 1);
        freeAt[h] = was;
        end[i] = -1;
      });
    };
    choose(0);
  };
  at(0);
  return least;
}
