// Package jobs holds what is known of doors and their sites, and the rules
// by which it changes: values and decisions, no input or output.
//
// A [Door] is the fold of its log of events. A [Command] is decided against
// the door, its hardware [Sheet] and its [Site] at a given time; the outcome
// is more events and the reminders that follow from them, or a refusal that
// says why. Nothing here knows the time, a network or a disk.
package jobs
