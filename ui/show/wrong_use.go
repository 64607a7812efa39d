package show

// WrongUse is what was asked for wrongly on the command line.
type WrongUse struct{ Problem string }

func (w WrongUse) Error() string { return w.Problem }
