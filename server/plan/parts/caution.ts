/** Cautions to show with safety-critical parts. They defer to local codes and licensed practice; nothing here certifies a part. */

const GENERAL =
  "A remade or substituted safety-critical part wants proof of its material, a crack test and a competent person's sign-off before use. Local codes and licensed practice come first; what is recorded here certifies nothing.";

const PARTICULAR: readonly [RegExp, string][] = [
  [
    /brake|clutch|lining|gasket/i,
    "Old linings and gaskets may hold asbestos, new old stock included: assume that they do.",
  ],
  [/fuel|petrol|tank/i, "Petrol vapour stays in tanks: no hot work on one that is not proved free of it."],
  [/boiler|acetylene|air vessel|pressure/i, "Pressure vessels and gas generators need a qualified inspection."],
  [
    /steer|axle|wheel|hub|spring|stub/i,
    "A failure here loses control of the machine: have it tested before the first run.",
  ],
  [/flywheel|crank/i, "A heavy flywheel can burst, and a crank kicks back: check balance and fixing, and stand clear."],
  [/magneto|coil|ignition/i, "High-tension ignition: keep clear while it turns."],
  [/paint|solder|filler/i, "Old paint, filler and solder may hold lead."],
];

/** The caution for a part, or null where it is not safety-critical. */
export function cautionFor(part: { safetyCritical: boolean; name: string; group: string }): string | null {
  if (!part.safetyCritical) return null;
  const said = PARTICULAR.filter(([words]) => words.test(`${part.name} ${part.group}`)).map(([, caution]) => caution);
  return [...said, GENERAL].join(" ");
}
