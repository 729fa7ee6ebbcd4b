// Holds numbers with units, as the bot reads them, against mathjs.
//
//   node units.mjs READ.json
import { readFileSync } from "node:fs";
import { unit } from "mathjs";

const read = JSON.parse(readFileSync(process.argv[2], "utf8"));
// What mathjs calls them, and what the bot holds them in.
const names = {
  mm: "mm", cm: "cm", m: "m", in: "inch", ft: "ft", kg: "kg", lb: "lbm", c: "degC", f: "degF", h: "hour", n: "N", kn: "kN", lbf: "lbf",
  "m/s": "m/s", "km/h": "km/h", mph: "mi/h", pa: "Pa", kpa: "kPa", mpa: "MPa", psi: "psi", ml: "ml", s: "s", "kg/m³": "kg/m^3",
};
const base = { kg: "kg", lb: "kg", c: "degC", f: "degC", h: "hour", n: "N", kn: "N", lbf: "N", "m/s": "m/s", "km/h": "m/s", mph: "m/s",
  pa: "Pa", kpa: "Pa", mpa: "Pa", psi: "Pa", ml: "ml", s: "s", "kg/m³": "kg/m^3" };
let held = 0, of = new Set(), faults = [];
for (const { Text, Number: number, Unit, As, Value } of read) {
  if (!names[Unit]) continue;
  const nm = As === "nm";
  const want = nm ? unit(Number(number), names[Unit]).toNumber("mm") * 1e6 : unit(Number(number), names[Unit]).toNumber(base[Unit]);
  if (!(Math.abs(Value - want) <= (nm ? 0.51 : 1e-9 * Math.abs(want) + 1e-12))) faults.push(`${Text}: read as ${Value} ${As}, mathjs has ${want}`);
  held++;
  of.add(Unit);
}
// The check can fail: a US survey foot is another.
if (unit(1, "ft").toNumber("mm") === 1200 / 3937 * 1000) faults.push("mathjs takes a survey foot for a foot");
if (of.size < 10) faults.push(`only ${of.size} units were held against mathjs`);
if (faults.length > 0) { console.error(faults.slice(0, 20).join("\n")); process.exit(1); }
console.log(`units: ${held} numbers in ${of.size} units are what mathjs makes of them`);
