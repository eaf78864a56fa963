/** A restoration of a given size from a seed: a shop's network, parts with quotes, operations with several ways. */

import type { ArrivalChoice, ChoiceInput, OperationChoice } from "../../server/engine/choice/input.ts";
import { forwardPass } from "../../server/engine/network/criticalPath.ts";
import { Network } from "../../server/engine/network/network.ts";
import type { ShopCalendar } from "../../server/engine/time/calendar.ts";
import { days, hours } from "../../server/engine/time/units.ts";
import { largeNetwork, seeded } from "../support/networks.ts";

export interface FrontierSize {
  operations: number;
  parts: number;
  quotes: number;
  withWays: number;
  seed: number;
}

/** Quotes are dearer the sooner they come; a third of the parts would not hold anything up with any of theirs. */
export function frontierCase(size: FrontierSize, calendar: ShopCalendar): ChoiceInput {
  const random = seeded(size.seed);
  const whole = (low: number, high: number): number => low + Math.floor(random() * (high - low + 1));
  const plain = largeNetwork(Math.ceil((size.operations * 4) / 3), size.seed);
  const arrivals = new Set(plain.arrivals);
  const nodes = plain.nodes.filter((node) => !arrivals.has(node.id)).slice(0, size.operations);
  const kept = new Set(nodes.map((node) => node.id));
  const network = new Network(
    nodes,
    plain.links.filter((link) => kept.has(link.before) && kept.has(link.after)),
    calendar,
  );
  const usual = forwardPass(network);
  const perDay = calendar.hoursBefore(days(364)) / 364;

  const parts = Array.from({ length: size.parts }, (_, p): ArrivalChoice => {
    const first = Math.floor(((p + random()) / size.parts) * network.size);
    const positions = random() < 0.2 ? [first, Math.min(network.size - 1, first + whole(1, 12))] : [first];
    const needed = calendar.startDay(hours(usual.start[first]!));
    // From well before to well after the day on which the work gets there.
    const least = Math.max(2, Math.round(needed * (0.2 + random())));
    const price = whole(20, 900) * 100;
    const options = Array.from({ length: size.quotes }, (_, q) => {
      const share = q / Math.max(1, size.quotes - 1);
      const arrival = least + Math.round(share * (10 + random() * 70));
      return {
        id: `q${q}`,
        usable: calendar.usableAfterArrival(days(arrival)),
        preparation: random() < 0.3 ? whole(1, 16) : 0,
        cost: Math.round(price * (2.2 - 1.2 * share ** 0.6) * (0.9 + 0.2 * random())),
        points: whole(0, 8) * 50,
      };
    });
    return { id: `part ${p}`, section: p % 4, positions, options };
  });

  const chosen = new Set<number>();
  while (chosen.size < size.withWays) chosen.add(whole(0, network.size - 1));
  const operations = [...chosen].map((position): OperationChoice => {
    const work = Math.max(6, network.hours[position]!);
    const options = [{ id: "in the shop", time: work, inDays: false, cost: work * 4500, points: 0 }];
    const count = whole(2, 4);
    if (count >= 3)
      options.push({
        id: "with overtime",
        time: Math.ceil(work * 0.75),
        inDays: false,
        cost: Math.round(work * 4500 * (1.2 + 0.3 * random())),
        points: 0,
      });
    options.push({
      id: "out of house",
      time: Math.max(1, Math.round(((0.3 + random()) * work) / perDay)),
      inDays: true,
      cost: Math.round(work * 4500 * (0.7 + random())),
      points: whole(0, 2) * 50,
    });
    if (count === 4)
      options.push({
        id: "with a second pair of hands",
        time: Math.ceil(work * 0.5),
        inDays: false,
        cost: Math.round(work * 4500 * (1.6 + 0.4 * random())),
        points: 0,
      });
    return { id: `operation ${position}`, section: position % 4, position, options };
  });
  return { network, arrivals: parts, operations, sectionCaps: [10_000, 8_000, 6_000, 10_000] };
}
