package talk

import (
	"heelpost/bot/ask"
	"heelpost/bot/order"
	"heelpost/bot/tell"
	"heelpost/bot/verb"
	"heelpost/jobs"
)

// named returns the ids of doors that are named in a message, those doors that there
// are, and what is left of it where it is one.
func (x *exchange) named() (ids []string, doors []*jobs.Job, question string, err error) {
	ids, question = order.DoorsAnd(x.m.Text)
	for _, id := range ids {
		at := x.m
		at.Thread = id
		door, err := x.desk.About(x.ctx, at)
		if err != nil {
			return nil, nil, "", err
		}
		if door != nil {
			doors = append(doors, door)
		}
	}
	return ids, doors, question, nil
}

// ofDoors says of what names a door, and is no order and no question that is known,
// what is.
func (x *exchange) ofDoors(a *ask.Answer) (out outcome, done bool, err error) {
	if a.OK() || x.desk == nil || x.m.Overheard || x.waiting.question != nil {
		return out, false, nil
	}
	ids, doors, question, err := x.named()
	if len(ids) == 0 || err != nil || len(doors) == 1 && x.door != nil && x.door.Key == doors[0].Key {
		return out, false, err
	}
	there := make([]string, len(doors))
	for i, j := range doors {
		there[i] = j.Door.Spec.ID
	}
	o, done, err := order.OfDoors(x.ctx, x.desk, x.m, ids, there, question)
	return ofOrder(o), done, err
}

// ofNamed answers what is asked of a door that is named before it, where it was
// asked; done is false if it is no question.
func (x *exchange) ofNamed(door *jobs.Job, question string) (out outcome, done bool, err error) {
	if order.TellsTrouble(question) {
		return out, false, nil // that comes first, whatever else it may ask
	}
	named := *x
	named.door, named.m.Text = door, question
	if question == "cure" && !door.Curing() {
		named.m.Text = "door " + door.Door.Spec.ID + " next"
		o, done, err := order.Handle(x.ctx, x.desk, named.m)
		return x.stays(ofOrder(o)), done, err
	}
	a := verb.Questions.Resolve(question, nil, tell.Asked(door))
	if out, done, err = named.fact(a); done || err != nil {
		return out, done, err
	}
	if !a.OK() && verb.Questions.VerbIn(question) == nil {
		return out, false, nil
	}
	out, err = named.answer(a)
	return out, true, err
}
