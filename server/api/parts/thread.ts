/** The thread finder: which standard threads a measurement may belong to. */
import {
  type ThreadsApart as Apart,
  type ThreadMatch as Match,
  type ThreadAnswer,
  threadsOf,
} from "../../plan/parts/thread.ts";
import { builder } from "../core/builder.ts";
import { LengthUnit } from "../core/enums.ts";

const ThreadVerdict = builder.enumType("ThreadVerdict", {
  description: "ONE thread answers; SEVERAL cannot be told apart by this measurement; NONE answers.",
  values: ["ONE", "SEVERAL", "NONE"] as const,
});

const TellingApartBy = builder.enumType("TellingApartBy", {
  values: ["DIAMETER", "PITCH", "ANGLE", "NOTHING"] as const,
});

const ThreadMatch = builder.objectRef<Match>("ThreadMatch").implement({
  description: "A standard thread; lengths in millimetres.",
  fields: (t) => ({
    name: t.exposeString("name", { description: "As it is written on a drawing." }),
    family: t.exposeString("family"),
    standard: t.exposeString("standard"),
    diameter: t.exposeFloat("diameter"),
    pitch: t.exposeFloat("pitch"),
    perInch: t.exposeFloat("perInch", {
      nullable: true,
      description: "Threads to the inch, where the standard counts them so.",
    }),
    angle: t.exposeFloat("angle", { description: "Between the flanks, degrees." }),
    diameterOff: t.exposeFloat("diameterOff", { description: "Measured less nominal." }),
    pitchOff: t.exposeFloat("pitchOff", {
      nullable: true,
      description: "Measured less nominal pitch; null when it was not measured.",
    }),
  }),
});

const ThreadsApart = builder.objectRef<Apart>("ThreadsApart").implement({
  fields: (t) => ({
    threads: t.stringList({ resolve: ({ threads }) => [...threads] }),
    by: t.expose("by", { type: TellingApartBy }),
    words: t.exposeString("words"),
  }),
});

const ThreadFinding = builder.objectRef<ThreadAnswer>("ThreadFinding").implement({
  fields: (t) => ({
    verdict: t.expose("verdict", { type: ThreadVerdict }),
    words: t.exposeString("words"),
    matches: t.field({
      type: [ThreadMatch],
      description: "Threads within the tolerance, the closest first.",
      resolve: ({ matches }) => [...matches],
    }),
    nearest: t.field({
      type: [ThreadMatch],
      description: "Where none is within it: the closest.",
      resolve: ({ nearest }) => [...nearest],
    }),
    tellApart: t.field({
      type: [ThreadsApart],
      description: "What tells the others from the first.",
      resolve: ({ tellApart }) => [...tellApart],
    }),
  }),
});

builder.queryField("thread", (t) =>
  t.field({
    type: ThreadFinding,
    description:
      "Standard threads by outside diameter and pitch, or threads counted to the inch. unit (default MM) is that of diameter, pitch, tolerance and wear; tolerance is of the diameter, either way (default 0.1 mm); wear is what the crests may have lost besides; angle is that of a gauge laid to the flanks, in degrees.",
    args: {
      diameter: t.arg.float({ required: true }),
      pitch: t.arg.float(),
      perInch: t.arg.float(),
      unit: t.arg({ type: LengthUnit }),
      tolerance: t.arg.float(),
      wear: t.arg.float(),
      angle: t.arg.float(),
    },
    resolve: (_root, { diameter, pitch, perInch, unit, tolerance, wear, angle }) =>
      threadsOf({
        diameter,
        pitch: pitch ?? null,
        perInch: perInch ?? null,
        unit: unit ?? "MM",
        tolerance: tolerance ?? null,
        wear: wear ?? null,
        angle: angle ?? null,
      }),
  }),
);
