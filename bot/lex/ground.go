package lex

// What lies in a floor and must not be drilled into, in the words that people
// describe a floor with: the one place for them. A word that is missing here
// lets a depth be told over what it means, so rather one too many. Trade usage,
// no published source.
var (
	// Heating are words for a floor that is heated, by water or by current.
	Heating = []string{"heated", "heating", "heat", "floor heating", "underfloor heating", "under floor heating", "underfloor", "heated floor", "heated screed", "heated slab",
		"ufh", "u f h", "radiant", "radiant floor", "radiant heating", "radiant heat", "hydronic", "warm floor", "warm screed", "warm slab", "floor is warm", "floor gets warm",
		"warm underfoot", "floor warming", "hot floor", "floor is hot", "floor gets hot", "hot water", "warm water", "wet system", "loops", "loop", "heating loops", "heating loop",
		"hot water loops", "manifold", "heat mat", "heat mats", "heating mat", "heating mats", "electric mat", "electric mats", "heating foil", "heating film", "heat foil",
		"heating wire", "heat cable", "trace heating", "activated", "activated slab", "core activation", "thermally active", "geothermal", "snow melting"}

	// Tensioned are words for a floor whose steel is under tension, or may be.
	Tensioned = []string{"tendon", "tendons", "over tendons", "post tensioned", "posttensioned", "post tensioned slab", "post tension", "post tensioning", "pt", "pt slab", "p t slab",
		"pre tensioned", "pretensioned", "pre tension", "pretension", "pretensioning", "prestressed", "pre stressed", "prestress", "prestressing", "stressed slab", "stressed", "stressing", "tensioned",
		"strand", "strands", "precast", "pre cast", "beam and block", "double tee", "double tees"}

	// Hollow are words for a slab with hollows, which is under tension too; of a
	// leaf they mean another thing.
	Hollow = []string{"hollow", "hollow core", "hollowcore", "hollow slab", "hollow floor"}

	// Services are what runs in floors, one by one.
	Services = []string{"pipe", "pipes", "pipework", "piping", "cable", "cables", "water pipe", "water pipes", "heating pipe", "heating pipes", "heating cable", "heating cables",
		"conduit", "conduits", "duct", "ducts", "trunking", "wire", "wires", "wiring", "electric", "electrics", "electrical", "power line", "power cable", "live cable", "live cables",
		"gas", "gas line", "gas lines", "gas pipe", "gas pipes", "gas main", "water", "water line", "water lines", "water main", "mains", "main", "drain", "drains", "drainage", "drain pipe", "waste pipe", "soil pipe",
		"sewer", "sewers", "sprinkler", "sprinklers", "sprinkler line", "sprinkler pipe", "services", "service line", "utilities", "utility line", "data cable", "fibre", "refrigerant", "steam"}

	// Sealing are layers that are tight until something is drilled through them.
	Sealing = []string{"membrane", "membranes", "waterproofing", "waterproofed", "tanking", "tanked", "damp proof", "dpm", "vapour barrier", "vapor barrier", "gas barrier", "radon barrier"}

	// Asbestos is never drilled.
	Asbestos = []string{"asbestos", "asbestos tile", "asbestos tiles"}
)
