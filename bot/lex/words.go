package lex

// Asking are the words after which a verb is what is asked for, not an input:
// what setback for a gap of 9.
var Asking = []string{"what", "what's", "whats", "which", "calculate", "find", "how much", "can", "does", "will"}

// Denials are the words after which something is not so. What is not so is
// asked about: a choice that is denied is not the choice made.
var Denials = []string{"not", "no", "never", "without", "isn't", "isnt", "aren't", "arent", "don't", "dont", "doesn't", "doesnt", "nor", "neither", "except", "unless"}

// PlainWords are common words near to one of ours, that are never taken for a
// slip.
var PlainWords = WordSet(`
	think thing things thinks through though thought these those their tried trick thin seating sitting setting
	settings stops stuff start still steel sound weight weights wheel wheels white whole leans learn learns means
	leaves leave least level lever later letter letters around ground found bound mounting counting covers
	cleaning cleaned cleans clears clearly close closed closing height heights heightened hinge hinges handled
	handling opens opener opened plates plated placed place places planned plain plank planks reached reaching
	late lap laps left life lead leads holes times time title teaches reveals ready really gaps gape tiles title titles three there where were hall till laser windy paint stuck bond bonds bonded bonding thinnest sanding narrowest smallest
	frames alliance angel based bases bears bench blame carrier carriers catering chance charge chopper converting cooper dairy daisy dampen
	dampers death deletion depletion detection diabetes different dumper encasement fails filer filler fillers fillings fills films
	finder finders fists flaps flaws floats footings framed framer gasps grains grins guard guest guests hallway hallways homes hopes
	hoses infer inflation inlet insect insert insider insulator inter isolation joist joists lagged landings lashing lashings latex
	lather latter leaking leaks leaping learning lease leash leasing lengthen levering liking linking living location lodged loner
	lover lurch market marred masked modes moles mouths movers nearness otter outsize outsized ovens oversight overweight palate parson
	passable patch pensions personals pierce pills pilot piloted pleasure plum plump polls print prop props punch readying reaming
	recoding reeds renaming repeal resawing reseal reversal roads roughing sales scaled shingle shock shoes shots singly sites sizes
	slacking slats slave slides slops slows snows socks spaces spank spawn speaking splaying stack stacks state steal steep steer step
	steps stick sticks stockist swindle tally target targets teams tempo tempt thicket thickset thinness tick tuned tunes turner waited
	washed welter wetted widen winds`)
