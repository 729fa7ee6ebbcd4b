// Package calc is the arithmetic of hanging pivot doors: a reference book
// written in Go. It exists so that every number the bot says has one place
// where its formula, source and limits stand, and so that nothing else in
// the project computes.
//
// A leaf of width w and thickness t turns on a vertical axis at the setback
// s from its heel edge. In plan, leaf closed, the origin is the axis, x runs
// along the leaf towards the leading jamb, y towards the side the leaf opens
// to. The offset e says how much further the axis lies from the face the
// leaf opens towards than from the mid-plane, so that face is at t/2 + e and
// the other at t/2 - e. A clearance c is what must stay free at the tightest
// moment of the swing.
//
// Results are rounded to the nearest nanometre and then, where they are set
// out on site, once to a step and to the safe side: gaps up, stop depths and
// clear widths down. Nothing is assumed here: a zero is a zero, and the
// caller says what it took for granted. Outside its limits a function
// returns a [*RangeError] that names the quantity, the value and the bound,
// or a [*NeedError] that names what can't be assumed; never NaN, never a
// clamp.
//
// Sources, cited as [S n]:
//
//   - [S 1] Machinery's Handbook, 31st ed., p. 83: formulas for a segment of
//     a circle.
//   - [S 2] Twist-drill point length (D/2)/tan(A/2), D the diameter and A the
//     included point angle: plane geometry, with published worked examples.
//   - [S 3] 2010 ADA Standards for Accessible Design, 404.2.3.
//   - [S 4] International Building Code 2018, 1010.1.1.
//   - [S 5] Approved Document M (England), volume 2, table 2, and volume 1, the
//     table of door and corridor widths; 2015 editions, from memory.
//   - [S 6] DIN 18040-1:2010-10, edition from memory.
//   - [S 7] CTE DB-SUA (Spain, 2022), annex A.
//   - [S 8] JCGM 100:2008 (GUM), 5.1.2: combined standard uncertainty.
//   - [S 9] UK HSE, L23, 4th ed. 2016: manual handling guideline filter and
//     para 120, team handling.
//   - [S 10] Installation tolerance out of plumb, 1.5 mm/m and at most 3 mm: the
//     table of operating forces by EN 12217 of the test institute pfb, Rosenheim.
//
// Cited by name where their formula or value stands: EN 1991-1-4 (wind), EN
// 1991-1-1, EN 338 and EN 572-1 (densities), EN 1991-1-5 (sun), EN 1154 and EN
// 16005 (closing), EN 12400 and EN 14600 (cycles), NIOSH 94-110 (lifting), BS
// 5385-3, DIN 18560-1 and EN 1264-4 (screeds), ISO 261 and ASME B1.1 (threads),
// directive 2014/32/EU (tapes), the Wood Handbook (moisture), ISO 13854 (pinch
// points), DIN 18202 (flatness), ASTM C1074 (maturity of cement). "From memory"
// beside one says that the value was not seen there.
//
// What has no source beyond plane geometry is derived in the comment of the
// function that uses it.
package calc
