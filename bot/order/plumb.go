package order

import (
	"math"
	"strings"

	"heelpost/bot/tell"
	"heelpost/calc"
	"heelpost/jobs"
)

// plumbReading reads how far the head stands off plumb and to which side, as
// "2 to lead, 1 to opening side": off it is by both together. The sides are kept
// with the reading, for what may still be moved goes by them.
func plumbReading(it *jobs.Item, typed, remark string) (jobs.ReadItem, bool) {
	typed = strings.Trim(strings.ReplaceAll(typed, ";", ","), " .,")
	along, across, ok := tell.PlumbSaid(typed, it.Unit == "in")
	if it.ID != "plumb" || !ok {
		return jobs.ReadItem{}, false
	}
	off := calc.Length(math.Ceil(math.Hypot(float64(along), float64(across))))
	if along != 0 && across != 0 {
		off = off.Up(calc.Millimetre / 100)
	}
	if remark != "" {
		typed += "; " + strings.TrimSpace(remark)
	}
	return jobs.ReadItem{Item: it.ID, Value: jobs.Measure{Micro: int64(off), Unit: it.Unit}, Note: typed}, true
}
