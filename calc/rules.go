package calc

// Approach is how people come to a door, as England's table has it.
type Approach int

// The approaches. Where it is not said, all of them are looked at.
const (
	UnsaidApproach Approach = iota
	StraightOn
	RightAngle1500 // at right angles, from an access route 1500 mm wide or more
	RightAngle1200 // at right angles, from an access route 1200 mm wide or more
	PublicEntrance // external doors used by the general public
)

// Rule is a published least clear width.
type Rule struct {
	Name      string
	Limit     Length
	Inches    Length   // the limit in inches, if its text gives both; not exactly the same
	Approach  Approach // UnsaidApproach: for every one
	OfOpening bool     // measured between the jambs, not from the open leaf
	Source    Word
	Note      Word
}

// ClearRules are published least clear widths, all of them measured with the
// leaf open at 90°. Adopted text, exceptions and existing buildings are a
// matter for the local authority.
var ClearRules = []Rule{
	{Name: "ADA 404.2.3", Limit: 815 * Millimetre, Inches: 32 * Inch, Source: "2010 ADA Standards 404.2.3, face of door to stop at 90°"},
	{Name: "IBC 1010.1.1", Limit: 813 * Millimetre, Inches: 32 * Inch, Source: "IBC 2018 1010.1.1, face of door to stop at 90°"},
	{Name: "England straight on", Limit: 800 * Millimetre, Approach: StraightOn, Source: approvedDocM},
	{Name: "England right angle 1500", Limit: 800 * Millimetre, Approach: RightAngle1500, Source: approvedDocM},
	{Name: "England right angle 1200", Limit: 825 * Millimetre, Approach: RightAngle1200, Source: approvedDocM},
	{Name: "England public entrance", Limit: 1000 * Millimetre, Approach: PublicEntrance, Source: approvedDocM},
	{Name: "DIN 18040-1", Limit: 900 * Millimetre, Source: "DIN 18040-1", Note: "how it is measured is not confirmed"},
	{Name: "Spain between jambs", Limit: 800 * Millimetre, OfOpening: true, Source: dbSUA},
	{Name: "Spain leaf open", Limit: 780 * Millimetre, Source: dbSUA},
}

const (
	approvedDocM = "Approved Document M volume 2 table 2, new buildings, stop to leaf"
	dbSUA        = "CTE DB-SUA 2022 annex A"
)

// Check is a value held against a published rule.
type Check struct {
	Rule
	Value Length
	OK    bool
}

// ClearChecks holds a clear width with the leaf at 90°, and the opening,
// against the published rules for an approach.
func ClearChecks(atRight Dimension, opening Length, approach Approach) []Check {
	var checks []Check
	for _, rule := range ClearRules {
		if approach != UnsaidApproach && rule.Approach != UnsaidApproach && rule.Approach != approach {
			continue
		}
		value := atRight
		if rule.OfOpening {
			value = Dimension{opening, opening}
		}
		checks = append(checks, Check{rule, value.SetOut, value.Exact >= rule.Limit})
	}
	return checks
}
