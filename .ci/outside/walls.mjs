// Holds the instants of wall times against Temporal. A wall time that clocks
// skip is the first instant after the hole, one that they show twice the first.
//
//   node walls.mjs WALLS.json
import { readFileSync } from "node:fs";
import { Temporal } from "@js-temporal/polyfill";

const walls = JSON.parse(readFileSync(process.argv[2], "utf8"));
let holes = 0, doubles = 0, faults = [];
for (const { Zone, Wall, Instant } of walls) {
  const wall = Temporal.PlainDateTime.from(Wall);
  const early = wall.toZonedDateTime(Zone, { disambiguation: "earlier" }), late = wall.toZonedDateTime(Zone, { disambiguation: "later" });
  let want = early.toInstant();
  if (early.epochMilliseconds !== late.epochMilliseconds) {
    if (early.toPlainDateTime().equals(wall)) doubles++;
    else {
      holes++;
      want = early.getTimeZoneTransition("next").toInstant();
    }
  }
  if (want.epochMilliseconds !== Date.parse(Instant)) faults.push(`${Wall} in ${Zone}: ${Instant}, Temporal has ${want}`);
}
if (holes < 100 || doubles < 100) faults.push(`only ${holes} wall times that are skipped and ${doubles} that come twice`);
if (faults.length > 0) { console.error(`${faults.length} wrong\n${faults.slice(0, 20).join("\n")}`); process.exit(1); }
console.log(`walls: ${walls.length} wall times, ${holes} of them skipped and ${doubles} shown twice, are at Temporal's instants`);
