package ui

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"

	"brinkmark/session"
)

// Plain leads a trial line by line: numbered choices, one line in for each
// question out. It moves no cursor and draws nothing, so that a screen reader, a
// dumb terminal or a pipe can use it.
type Plain struct {
	In     io.Reader
	Out    io.Writer
	Now    func() time.Time
	Keeper Keeper
	Home   *Home // the page to begin on, for a keeper without a trial
}

const plainHelp = "Type a number, or a value with its unit. ? says why. u takes back the last entry. m is the make-safe card. q leaves."

// errLeft says that the crew left before the end.
var errLeft = errors.New("left")

// Run asks until the trial is closed or the crew leaves. The end of the input is
// leaving too: whatever was answered is on disk.
func (p *Plain) Run() error {
	p.Out = Printable(p.Out)
	lines := bufio.NewScanner(p.In)
	lines.Buffer(make([]byte, 0, 4096), 64<<10)
	flow := p.Keeper.begin()
	p.say(plainHelp)
	for _, bad := range flow.Cards.Unreadable {
		p.say("! Passed over: " + bad.Error())
	}
	for {
		flow.Now = p.Now()
		q := p.question(flow)
		p.show(q)
		if q.ID == "closed" {
			return nil
		}
		next, err := p.answered(flow, q, lines)
		if errors.Is(err, errLeft) {
			p.say("", either(p.Keeper.Bye, "Left. Everything answered is on disk; \"brinkmark resume\" goes on here."))
			return nil
		}
		if err != nil {
			return err
		}
		flow = next
	}
}

// answered goes on from a question: when its work is done, or as a line says.
func (p *Plain) answered(flow Flow, q Question, lines *bufio.Scanner) (Flow, error) {
	if q.wait != nil {
		return p.wait(flow, q.wait)
	}
	return p.turn(flow, q, lines)
}

// turn reads one line and does what it says. Errors of the crew's are said and
// asked again; errors of the disk are said and nothing moves on.
func (p *Plain) turn(flow Flow, q Question, lines *bufio.Scanner) (Flow, error) {
	fmt.Fprint(p.Out, "> ")
	if !lines.Scan() {
		if err := lines.Err(); err != nil {
			return flow, fmt.Errorf("read the answer: %w", err)
		}
		return flow, errLeft
	}
	text := strings.TrimSpace(Clean(lines.Text()))
	var next Flow
	var effect Effect
	var err error
	switch {
	case text == "":
		return flow, nil
	case text == "?":
		p.say(append(q.Help, plainHelp)...)
		return flow, nil
	case strings.EqualFold(text, "m"):
		p.makeSafe()
		return flow, nil
	case strings.EqualFold(text, "q"):
		return flow, errLeft
	case q.keyed(text) != nil:
		next, effect = q.keyed(text).do(flow)
	case strings.EqualFold(text, "u"):
		if next, effect = flow.Undo(); effect == (None{}) {
			p.say("Nothing to take back here.")
		}
	default:
		next, effect, err = answerPlain(flow, q, text)
	}
	return p.goOn(flow, next, effect, err)
}

// goOn carries an effect out and returns the flow after it; after a failure the
// flow before it, over whatever is now on disk.
func (p *Plain) goOn(flow, next Flow, effect Effect, err error) (Flow, error) {
	switch e := effect.(type) {
	case Leave, GoHome:
		return flow, errLeft
	case Turn:
		if err == nil {
			return p.turnTo(flow, e)
		}
	case Begin:
		if err == nil {
			return p.turnTo(flow, beginning(e))
		}
	}
	if follow, ok := effect.(FollowOn); ok && err == nil {
		var k Keeper
		if k, _, err = p.Keeper.follow(follow); err == nil {
			p.Keeper = k
			return k.begin(), nil
		}
	} else if err == nil {
		err = p.carryOut(effect)
	}
	if err != nil {
		p.say("! " + err.Error())
		next = flow
	}
	if _, none := effect.(None); !none {
		next = p.Keeper.see(next)
	}
	return next, nil
}

// answerPlain takes a number as a choice and anything else as a value.
func answerPlain(flow Flow, q Question, text string) (Flow, Effect, error) {
	if n, err := strconv.Atoi(text); err == nil && len(q.Choices) > 0 {
		if n < 1 || n > len(q.Choices) {
			return flow, None{}, fmt.Errorf("there is no %d here: type 1 to %d", n, len(q.Choices))
		}
		next, effect := q.Choices[n-1].do(flow)
		return next, effect, nil
	}
	if q.Enter == nil {
		return flow, None{}, fmt.Errorf("type a number from 1 to %d", len(q.Choices))
	}
	return q.Enter.take(flow, text)
}

// keyed is the choice that a key of its own makes too.
func (q Question) keyed(text string) *Choice {
	for i, c := range q.Choices {
		if c.also != nil && slices.Contains(c.also.Keys(), strings.ToLower(text)) {
			return &q.Choices[i]
		}
	}
	return nil
}

func (p *Plain) carryOut(e Effect) error {
	if _, none := e.(None); none {
		return nil
	}
	told, err := p.Keeper.Carry(e)
	if err == nil && told != "" {
		p.say("  " + told)
	}
	return err
}

func (p *Plain) show(q Question) {
	p.say("", "["+q.where()+"] "+q.Title)
	p.showScene(q)
	p.showPicture(q)
	p.showBig(q)
	for _, line := range q.Body {
		p.say("  " + line)
	}
	for _, row := range q.Rows {
		p.say("  " + row[0] + " " + row[1])
	}
	p.showTable(q.table)
	for i, c := range q.Choices {
		p.say(fmt.Sprintf("  %d  %s", i+1, c.Label))
		for _, line := range c.more {
			p.say("     " + line)
		}
	}
	if q.Enter != nil {
		p.say(fmt.Sprintf("  %s, such as: %s", q.Enter.Label, q.Enter.Example))
	}
}

func (p *Plain) makeSafe() {
	heading, steps := session.MakeSafe()
	p.say("", upperText(heading))
	for i, s := range steps {
		p.say(fmt.Sprintf("  %d. %s", i+1, s))
	}
}

func (p *Plain) say(lines ...string) {
	for _, line := range lines {
		fmt.Fprintln(p.Out, line)
	}
}

// Printable passes on only what may be drawn: text, spaces and line ends. Text from
// files can then not move the cursor, hide itself or run backwards.
func Printable(w io.Writer) io.Writer { return printable{w} }

type printable struct{ to io.Writer }

func (p printable) Write(b []byte) (int, error) {
	if _, err := io.WriteString(p.to, Clean(string(b))); err != nil {
		return 0, err
	}
	return len(b), nil
}

// Clean takes out of a text everything but printable characters and line ends.
func Clean(text string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\n', unicode.IsPrint(r):
			return r
		case r == '\t', r == '\u00a0':
			return ' '
		}
		return -1
	}, text)
}
