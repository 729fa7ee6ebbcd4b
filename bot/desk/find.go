package desk

import (
	"cmp"
	"context"
	"errors"
	"strings"

	"heelpost/bot"
	"heelpost/bot/say"
	"heelpost/jobs"
)

// Find reads a door, nil if there is none.
func (d *Desk) Find(ctx context.Context, key string) (*jobs.Job, error) {
	rec, err := d.store.Door(ctx, key)
	if errors.Is(err, jobs.ErrNotFound) {
		renamed, other := d.store.Bound(ctx, nameRef(key))
		if other != nil || renamed[0] == "" {
			return nil, other
		}
		if rec, err = d.store.Door(ctx, renamed[0]); errors.Is(err, jobs.ErrNotFound) {
			return nil, nil
		}
	}
	if err != nil {
		return nil, err
	}
	j, err := d.open(ctx, rec)
	if j != nil && rec.Key != key && !j.Door.GoesBy(jobs.DoorID(key)) {
		return nil, nil
	}
	return j, err
}

// nameRef is the name that the store binds to the key of a door that goes by
// another id since; key is made of that id.
func nameRef(key string) string { return "name:" + key }

// KeyOf returns the key of the door that goes by the id in a key: the key of its
// first id, by which it is kept. Any other name stands for itself.
func (d *Desk) KeyOf(ctx context.Context, key string) (string, error) {
	refs, err := d.store.Bound(ctx, nameRef(key))
	if err != nil {
		return "", err
	}
	if refs[0] != "" { // not if that door was called off, and another one opened in its place
		if j, err := d.Find(ctx, key); j == nil || err != nil {
			return key, err
		}
	}
	return cmp.Or(refs[0], key), nil
}

// Rename gives a door another id, by which it is found like by the old one. The
// id is bound first: if the process dies before the change, it names the door
// that it was to name.
func (d *Desk) Rename(ctx context.Context, m bot.Message, site *jobs.Site, key string, cmd *jobs.Rename) (settled bool, err error) {
	j, err := d.Job(ctx, key)
	if err != nil {
		return false, err
	}
	name := jobs.DoorKey(site.ID, cmd.ID)
	other, err := d.Find(ctx, name)
	if err != nil {
		return false, err
	}
	if other != nil && other.Key != j.Key {
		if !strings.EqualFold(other.Door.Spec.ID, cmd.ID) {
			return false, bot.Refuse(say.F("%s was the id of door %s before, which is still found by it: take another", cmd.ID, other.Door.Spec.ID))
		}
		return false, bot.Refuse(say.F("there is a door %s already", cmd.ID))
	}
	if _, err := jobs.Decide(j.Door, cmd, jobs.Context{Sheet: j.Sheet, Site: j.Site, Now: m.At, Who: m.Person, Op: m.ID}); err != nil {
		if done, no := d.Done(ctx, j, m.ID); done || no != nil {
			return false, no
		}
		return false, bot.Refuse(err)
	}
	if err := d.store.Bind(ctx, map[string]string{nameRef(name): j.Key}); err != nil {
		return false, err
	}
	return d.Change(ctx, m, site, j.Key, cmd)
}

// Job reads a door that people speak of. If there is none it refuses, and the
// refusal is jobs.ErrNotFound.
func (d *Desk) Job(ctx context.Context, key string) (*jobs.Job, error) {
	j, err := d.Find(ctx, key)
	if err != nil || j != nil {
		return j, err
	}
	refs, err := d.store.Bound(ctx, nameRef(key))
	if err != nil {
		return nil, err
	}
	if refs[0] != "" {
		return nil, bot.Refuse(&noDoor{say.F("%s is called off; its log is kept before that of %s, which was opened anew", jobs.DoorID(key), jobs.DoorID(refs[0]))})
	}
	return nil, bot.Refuse(missing(key))
}

// noDoor says that there is no door of an id. It is jobs.ErrNotFound.
type noDoor struct{ say.Text }

func (e *noDoor) Is(target error) bool { return target == jobs.ErrNotFound }

func missing(key string) *noDoor { return &noDoor{say.F("there is no door %s here", jobs.DoorID(key))} }

// About returns the door in whose thread a message stands, nil if it stands
// in none.
func (d *Desk) About(ctx context.Context, m bot.Message) (*jobs.Job, error) {
	site := d.SiteFor(&m)
	if site == nil || m.Thread == "" {
		return nil, nil
	}
	j, err := d.Find(ctx, jobs.DoorKey(site.ID, m.Thread))
	if j != nil {
		j.At = m.At
	}
	return j, err
}
