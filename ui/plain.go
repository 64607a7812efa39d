package ui

import (
	"bufio"
	"cmp"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"
	"time"

	"brinkmark/session"
	"brinkmark/ui/ask"
	"brinkmark/ui/draw"
	"brinkmark/ui/words"
)

// Plain leads a trial line by line: numbered choices, one line in for each
// question out. It moves no cursor and draws nothing, so that a screen reader, a
// dumb terminal or a pipe can use it.
type Plain struct {
	In     io.Reader
	Out    io.Writer
	Now    func() time.Time
	Keeper ask.Keeper
	Home   *ask.Home // the page to begin on, for a keeper without a trial

	refused bool // the disk refused the last thing to be written
}

const plainHelp = "Type a number, or a value with its unit. ? says why. u takes back the last entry. m is the make-safe card. q leaves."

// errLeft says that the crew left before the end.
var errLeft = errors.New("left")

// Run asks until the trial is closed or the crew leaves. The end of the input is
// leaving too: whatever was answered is on disk.
func (p *Plain) Run() error {
	out := &words.Heard{To: words.Printable(p.Out)}
	p.Out = out
	lines := bufio.NewScanner(p.In)
	lines.Buffer(make([]byte, 0, 4096), 64<<10)
	flow := p.Keeper.First()
	p.say(plainHelp)
	for _, bad := range flow.Cards.Unreadable {
		p.say("! Passed over: " + bad.Error())
	}
	for {
		flow.Now = p.Now()
		q := p.question(flow)
		p.show(q)
		if q.ID != "closed" && q.Wait == nil {
			fmt.Fprint(p.Out, "> ")
		}
		if out.Failed != nil { // an answer to what nobody saw is none
			return fmt.Errorf("what is asked can be shown no more: %w\n  everything answered is on disk: start brinkmark again to go on", out.Failed)
		}
		if q.ID == "closed" {
			return nil
		}
		next, err := p.answered(flow, q, lines)
		if errors.Is(err, errLeft) {
			if p.Keeper.Live != "" {
				p.say("", p.Keeper.Live)
			}
			p.say("", p.bye())
			p.say(p.live(flow)...)
			return nil
		}
		if err != nil {
			return err
		}
		flow = next
	}
}

// bye is the last word to who leaves.
func (p *Plain) bye() string {
	if p.refused {
		return "Left. The last answer is not on disk: first do what stands above, then start brinkmark again."
	}
	if p.Keeper.Begun != nil && !p.Keeper.Begun() {
		return "Left. Nothing was answered, so nothing of this trial is kept."
	}
	return cmp.Or(p.Keeper.Bye, "Left. Everything answered is on disk; \"brinkmark resume\" goes on here.")
}

// live says aloud what is still live where a trial is left.
func (p *Plain) live(flow ask.Flow) []string {
	if p.Keeper.Trial == nil {
		return nil
	}
	return warnings(flow.Live())
}

// answered goes on from a question: when its work is done, or as a line says.
func (p *Plain) answered(flow ask.Flow, q ask.Question, lines *bufio.Scanner) (ask.Flow, error) {
	if q.Wait != nil {
		return p.wait(flow, q.Wait)
	}
	return p.turn(flow, q, lines)
}

// turn reads one line and does what it says. Errors of the crew's are said and
// asked again; errors of the disk are said and nothing moves on.
func (p *Plain) turn(flow ask.Flow, q ask.Question, lines *bufio.Scanner) (ask.Flow, error) {
	if !lines.Scan() {
		if err := lines.Err(); err != nil {
			return flow, fmt.Errorf("read the answer: %w", err)
		}
		return flow, errLeft
	}
	text := strings.TrimSpace(words.Clean(lines.Text()))
	var next ask.Flow
	var effect ask.Effect
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
	case q.Keyed(text) != nil:
		next, effect = q.Keyed(text).Do(flow)
	case strings.EqualFold(text, "q"):
		return flow, errLeft
	case strings.EqualFold(text, "u"):
		if next, effect = flow.Undo(); effect == (ask.None{}) {
			p.say("Nothing to take back here.")
		}
	default:
		next, effect, err = answerPlain(flow, q, text)
	}
	return p.goOn(flow, next, effect, err)
}

// goOn carries an effect out and returns the flow after it; after a failure the
// flow before it, over whatever is now on disk.
func (p *Plain) goOn(flow, next ask.Flow, effect ask.Effect, err error) (ask.Flow, error) {
	switch e := effect.(type) {
	case ask.Leave, ask.GoHome:
		return flow, errLeft
	case ask.Turn:
		if err == nil {
			return p.turnTo(flow, e)
		}
	case ask.Begin:
		if err == nil {
			return p.turnTo(flow, ask.Beginning(e))
		}
	case ask.Resume:
		if err == nil {
			return p.turnTo(flow, ask.Resuming(e))
		}
	}
	if follow, ok := effect.(ask.FollowOn); ok && err == nil {
		var k ask.Keeper
		if k, _, err = p.Keeper.CloseAndFollow(follow); err == nil {
			p.Keeper = k
			return k.First(), nil
		}
	} else if err == nil {
		err = p.carryOut(effect)
	}
	if err != nil {
		p.say("! " + err.Error())
		next = flow
	}
	if _, none := effect.(ask.None); !none {
		next = p.Keeper.See(next)
	}
	return next, nil
}

// answerPlain takes a number as a choice and anything else as a value.
func answerPlain(flow ask.Flow, q ask.Question, text string) (ask.Flow, ask.Effect, error) {
	if n, err := strconv.Atoi(text); err == nil && len(q.Choices) > 0 {
		if n < 1 || n > len(q.Choices) {
			return flow, ask.None{}, fmt.Errorf("there is no %d here: type 1 to %d", n, len(q.Choices))
		}
		next, effect := q.Choices[n-1].Do(flow)
		return next, effect, nil
	}
	if q.Enter == nil {
		return flow, ask.None{}, fmt.Errorf("type a number from 1 to %d", len(q.Choices))
	}
	return q.Enter.Take(flow, text)
}

func (p *Plain) carryOut(e ask.Effect) error {
	if _, none := e.(ask.None); none {
		return nil
	}
	told, err := p.Keeper.Carry(e)
	p.refused = err != nil
	if err == nil && told != "" {
		p.say("  " + told)
	}
	return err
}

func (p *Plain) show(q ask.Question) {
	p.say("", "["+q.Where()+"] "+q.Title)
	p.showScene(q)
	p.showPicture(q)
	p.showBig(q)
	for _, line := range q.Body {
		p.say("  " + line)
	}
	for _, row := range q.Rows {
		p.say("  " + row[0] + " " + row[1])
	}
	p.showTable(q.Table)
	for i, c := range q.Choices {
		p.say(fmt.Sprintf("  %d  %s", i+1, c.Label))
		for _, line := range c.More {
			p.say("     " + line)
		}
	}
	if q.Enter != nil {
		if figure := q.Enter.Figure(); figure != "" {
			p.say(fmt.Sprintf("  %s: %s", q.Enter.Label, figure))
		} else {
			p.say(fmt.Sprintf("  %s, such as: %s", q.Enter.Label, q.Enter.Example))
		}
	}
}

func (p *Plain) makeSafe() {
	heading, steps := session.MakeSafe()
	p.say("", strings.ToUpper(heading))
	for i, s := range steps {
		p.say(fmt.Sprintf("  %d. %s", i+1, s))
	}
}

func (p *Plain) say(lines ...string) {
	for _, line := range lines {
		fmt.Fprintln(p.Out, line)
	}
}

// showTable lists a table line by line.
func (p *Plain) showTable(t *draw.Table) {
	if t == nil {
		return
	}
	if strings.Join(t.Head, "") != "" {
		p.say("  " + draw.CellsText(t.Head))
	}
	for _, row := range t.Rows {
		p.say("  " + draw.CellsText(row.Cells))
	}
}

// showBig says the figures line by line.
func (p *Plain) showBig(q ask.Question) {
	if len(q.Big) > 0 {
		p.say("  " + draw.BigLine(q.Big))
	}
}

// Sizes of a picture line by line.
const plainPictureWidth, plainPictureHeight = 76, 18

// showPicture draws a question's picture in characters.
func (p *Plain) showPicture(q ask.Question) {
	if q.Picture == nil {
		return
	}
	for _, line := range q.Picture(plainPictureWidth, plainPictureHeight) {
		p.say("  " + line)
	}
}

// question asks what comes next: in the trial, or on a page without one.
func (p *Plain) question(flow ask.Flow) ask.Question {
	if p.Keeper.Trial == nil {
		return p.Home.Question()
	}
	return flow.Question()
}

// turnTo goes to another page, or into a lesson. What cannot be begun is said, and the
// question stays.
func (p *Plain) turnTo(flow ask.Flow, t ask.Turn) (ask.Flow, error) {
	k, home, err := t.To(p.Keeper)
	if err != nil {
		p.say("! " + err.Error())
		return flow, nil
	}
	p.Keeper, p.Home = k, home
	return k.First(), nil
}

// showScene tells a push on the practice rig in words.
func (p *Plain) showScene(q ask.Question) {
	if q.Scene != nil && q.ID == "push" {
		for _, line := range q.Scene.Words() {
			p.say("  " + line)
		}
	}
}
