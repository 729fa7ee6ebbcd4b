package order

import (
	"heelpost/bot/desk"
	"heelpost/bot/survey"
	"heelpost/jobs"
)

// names returns what is known at a site.
func NamesOf(d *desk.Desk, site *jobs.Site) *survey.Names {
	n := &survey.Names{Site: site}
	if site != nil {
		n.Sheets, n.Floors = d.Choice(site)
	}
	return n
}

// CalcFields are the fields that figures of calc come from, where they have
// another name.
var CalcFields = map[string]string{"density": "mass", "cover_left": "cover", "tip_depth": "cover", "gap": "opening", "template": "covering"}
