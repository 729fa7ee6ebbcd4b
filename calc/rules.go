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
	DwellingHeadOn // in a dwelling, from a corridor 900 mm wide or more
	Dwelling1200   // in a dwelling, not head-on, from a corridor 1200 mm wide or more
	Dwelling1050
	Dwelling900
)

// RouteWidth is the least width of the route that an approach is from.
type RouteWidth struct {
	Least    Length
	Approach Approach
}

// The routes that England's tables tell apart, the widest first.
var (
	Routes         = []RouteWidth{{1500 * Millimetre, RightAngle1500}, {1200 * Millimetre, RightAngle1200}}
	DwellingRoutes = []RouteWidth{{1200 * Millimetre, Dwelling1200}, {1050 * Millimetre, Dwelling1050}, {900 * Millimetre, Dwelling900}}
)

// Rule is a published least clear width.
type Rule struct {
	Code      string // by which it is asked for
	Name      string
	Limit     Length
	Inches    Length   // the limit in inches, if its text gives both; not exactly the same
	Approach  Approach // UnsaidApproach: for every one
	Counts    bool     // what sticks out of the leaf counts against it
	OfOpening bool     // measured between the jambs, not from the open leaf
	Source    Word
	Note      Word
}

// ClearRules are published least clear widths, all of them measured with the
// leaf open at 90°. Adopted text, exceptions and existing buildings are a
// matter for the local authority.
var ClearRules = []Rule{
	{Code: "ada", Name: "ADA 404.2.3", Limit: 815 * Millimetre, Inches: 32 * Inch, Source: "2010 ADA Standards 404.2.3, face of door to stop at 90°"},
	{Code: "ibc", Name: "IBC 1010.1.1", Limit: 813 * Millimetre, Inches: 32 * Inch, Source: "IBC 2018 1010.1.1, face of door to stop at 90°"},
	{Code: "england", Name: "England straight on", Limit: 800 * Millimetre, Approach: StraightOn, Counts: true, Source: approvedDocM},
	{Code: "england", Name: "England right angle 1500", Limit: 800 * Millimetre, Approach: RightAngle1500, Counts: true, Source: approvedDocM},
	{Code: "england", Name: "England right angle 1200", Limit: 825 * Millimetre, Approach: RightAngle1200, Counts: true, Source: approvedDocM},
	{Code: "england", Name: "England public entrance", Limit: 1000 * Millimetre, Approach: PublicEntrance, Counts: true, Source: approvedDocM},
	{Code: dwellings, Name: "England dwelling head-on", Limit: 750 * Millimetre, Approach: DwellingHeadOn, Counts: true, Source: approvedDocM1},
	{Code: dwellings, Name: "England dwelling corridor 1200", Limit: 750 * Millimetre, Approach: Dwelling1200, Counts: true, Source: approvedDocM1},
	{Code: dwellings, Name: "England dwelling corridor 1050", Limit: 775 * Millimetre, Approach: Dwelling1050, Counts: true, Source: approvedDocM1},
	{Code: dwellings, Name: "England dwelling corridor 900", Limit: 800 * Millimetre, Approach: Dwelling900, Counts: true, Source: approvedDocM1},
	{Code: "din", Name: "DIN 18040-1", Limit: 900 * Millimetre, Source: "DIN 18040-1:2010-10 (edition from memory); how it is measured is not confirmed", Note: "how it is measured is not confirmed"},
	{Code: "spain", Name: "Spain between jambs", Limit: 800 * Millimetre, OfOpening: true, Source: dbSUA},
	{Code: "spain", Name: "Spain leaf open", Limit: 780 * Millimetre, Source: dbSUA},
}

// RuleCodes returns the codes that rules are asked for by, in their order.
func RuleCodes() (codes []string) {
	for _, r := range ClearRules {
		if len(codes) == 0 || codes[len(codes)-1] != r.Code {
			codes = append(codes, r.Code)
		}
	}
	return codes
}

const (
	dwellings          = "england-dwellings"
	approvedDocM  Word = "Approved Document M volume 2 (2015 edition, from memory), table 2, new buildings, stop to leaf"
	approvedDocM1 Word = "Approved Document M volume 1, dwellings (2015 edition, from memory), door clear opening by corridor, stop to leaf"
	dbSUA         Word = "CTE DB-SUA 2022 annex A"
)

// Check is a value held against a published rule.
type Check struct {
	Rule
	Value Length
	OK    bool
}

// ClearChecks holds a clear width with the leaf at 90°, and the opening,
// against the published rules for an approach. In inches those that are written
// in them count by the inches.
func ClearChecks(atRight Dimension, opening Length, approach Approach, inches bool) []Check {
	var checks []Check
	for _, rule := range ClearRules {
		if approach != UnsaidApproach && rule.Approach != UnsaidApproach && rule.Approach != approach {
			continue
		}
		value := atRight
		if rule.OfOpening {
			value = Dimension{opening, opening}
		}
		if inches && rule.Inches != 0 {
			rule.Limit = rule.Inches
		}
		checks = append(checks, Check{rule, value.SetOut, value.Exact >= rule.Limit})
	}
	return checks
}
