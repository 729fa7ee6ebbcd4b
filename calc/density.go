package calc

// Material is what a layer is made of.
type Material struct {
	Name       string
	Density    Density // the upper end, where the source has a range
	Source     Word
	Remembered bool // not seen in the source, or in a copy of it, but remembered
}

const (
	en572   = "EN 572-1"
	en338   = "BS EN 338 mean density"
	annexA1 = "EN 1991-1-1:2002 table A.1"
	annexA2 = "EN 1991-1-1:2002 table A.2"
	annexA3 = "EN 1991-1-1:2002 table A.3"
	annexA4 = "EN 1991-1-1:2002 table A.4"
	annexA5 = "EN 1991-1-1:2002 table A.5"
	species = "DIN 68364 mean density"
)

// ofWeight returns the density that weighs so many kN/m³: γ·1000/g, with the
// standard g of 9.80665 m/s².
func ofWeight(kN float64) Density { return Density(kN * 1000 / gravity) }

// Materials are published densities of what leaves are made of. A leaf's own
// data sheet comes first. Of EN 338's hardwoods two have changed since:
// D40 is 660 and D70 960 kg/m³ in the edition of 2016.
var Materials = []Material{
	{"glass", 2500, en572, true},
	{"C14", 350, en338, false},
	{"C16", 370, en338, false},
	{"C18", 380, en338, false},
	{"C20", 390, en338, false},
	{"C22", 410, en338, false},
	{"C24", 420, en338, false},
	{"C27", 450, en338, false},
	{"C30", 460, en338, false},
	{"C35", 480, en338, false},
	{"C40", 500, en338, false},
	{"C45", 520, en338, false},
	{"C50", 550, en338, false},
	{"D30", 640, en338, false},
	{"D35", 670, en338, false},
	{"D40", 700, en338, false},
	{"D50", 780, en338, false},
	{"D60", 840, en338, false},
	{"D70", 1080, en338, false},
	{"spruce", 460, species, true},
	{"pine", 520, species, true},
	{"larch", 600, species, true},
	{"oak", 710, species, true},
	{"beech", 710, species, true},
	{"ash", 700, species, true},
	{"maple", 630, species, true},
	{"walnut", 670, species, true},
	{"teak", 680, species, true},
	{"concrete", ofWeight(25), annexA1, false}, // reinforced: 24 and 1 more
	{"mortar", ofWeight(23), annexA1, false},
	{"gypsum", ofWeight(18), annexA1, true},
	{"granite", ofWeight(30), annexA2, true},
	{"basalt", ofWeight(31), annexA2, true},
	{"sandstone", ofWeight(27), annexA2, true},
	{"limestone", ofWeight(29), annexA2, true},
	{"slate", ofWeight(28), annexA2, true},
	{"plywood", ofWeight(5), annexA3, true},
	{"birch plywood", ofWeight(7), annexA3, true},
	{"blockboard", ofWeight(4.5), annexA3, true},
	{"chipboard", ofWeight(8), annexA3, true},
	{"cement board", ofWeight(12), annexA3, true},
	{"OSB", ofWeight(7), annexA3, true},
	{"hardboard", ofWeight(10), annexA3, true},
	{"MDF", ofWeight(8), annexA3, true},
	{"softboard", ofWeight(4), annexA3, true},
	{"aluminium", ofWeight(27), annexA4, true},
	{"brass", ofWeight(85), annexA4, true},
	{"bronze", ofWeight(85), annexA4, true},
	{"copper", ofWeight(89), annexA4, true},
	{"cast iron", ofWeight(72.5), annexA4, true},
	{"lead", ofWeight(114), annexA4, true},
	{"steel", ofWeight(78.5), annexA4, false},
	{"zinc", ofWeight(72), annexA4, true},
	{"acrylic", ofWeight(12), annexA5, true},
}

// MaterialNamed returns the material of a name as [Materials] spells it.
func MaterialNamed(name string) (Material, bool) {
	for _, m := range Materials {
		if m.Name == name {
			return m, true
		}
	}
	return Material{}, false
}
