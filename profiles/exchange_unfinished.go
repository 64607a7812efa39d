package profiles

import "path"

// unfinished exchanges a record that is not finished on a side. It stays where it can be gone on
// with; but what hurt a cable is news on every tablet at once, so a trial or run with that is copied
// as another's, and the copy grows with it. What is not finished is written to by its own tablet
// alone.
func (x *exchange) unfinished(name string, a, b exchangedRecord) error {
	switch {
	case b.text == nil && a.hurt():
		return x.give(name, func() error {
			err := x.put(x.there, x.there.home(name), a.text)
			if err == nil {
				x.news(name, a)
			}
			return err
		}, &x.done.Out)
	case a.text == nil && b.hurt():
		if err := x.take(name, b.text); err != nil {
			return err
		}
		x.news(name, b)
		return nil
	case a.growsInto(b) && x.here.isReceived(name):
		return x.grow(x.here, name, a, b)
	case b.growsInto(a) && (x.there.isReceived(name) || !x.here.isReceived(name)):
		return x.give(name, func() error { return x.grow(x.there, name, b, a) }, nil)
	case (a.hurt() || b.hurt()) && !a.growsInto(b) && !b.growsInto(a):
		return x.keepBoth(name, a.text, b.text)
	}
	x.done.Open = append(x.done.Open, name)
	return nil
}

// hurt reports whether it is unfinished, and a cable was hurt in it.
func (r exchangedRecord) hurt() bool { return r.fold || r.mark }

func (x *exchange) news(name string, r exchangedRecord) {
	if x.done.News == nil {
		x.done.News = map[string]bool{}
	}
	x.done.News[name] = r.fold
}

// isReceived reports whether a shelf has a record as another tablet's.
func (s *shelf) isReceived(name string) bool {
	return path.Base(path.Dir(s.places[name])) == receivedFolder
}
