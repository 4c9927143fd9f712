package page

import (
	"fmt"
	"strings"

	"evenfall/photometry/ratio"
	"evenfall/photometry/uncertainty"
	"evenfall/plots/answers"
	"evenfall/plots/document"
)

// atMarks adds what evenfall ratio finds of the table, and what follows from it.
func (st *State) atMarks(store *store, a *analysis) {
	r, unit, err := store.ratios(a.name, a.content)
	if err != nil {
		st.WhyNoResult = sentence(a.name, err)
		return
	}
	answers.Describe(r)
	d := answers.Ratio(r, "", document.Words{Unit: unit}, false)
	st.ResultWords = d.Lines()
	for _, block := range d.Blocks {
		if t, ok := block.(document.Table); ok {
			st.Tables = append(st.Tables, document.Table{Caption: "The marks", Rows: t.Rows})
		}
	}
	j := judgment{Of: "ratio", Text: answers.KeyToFillRange(r.Marks) + "; no target is set"}
	for _, check := range answers.RatioChecks(r) {
		j.Text, _, _ = strings.Cut(check.Text, ", read ")
	}
	j.Word = st.markWord(r)
	st.Judgments, st.Ruler = append(st.Judgments, j), markRuler(r)
	st.Do = st.doAtMarks(r)
}

// unreadLights counts what is planned at marks and not read, and is the first of it.
func (st *State) unreadLights() (n int, first string) {
	for _, lamp := range st.Lamps {
		for _, mark := range st.Lights[lamp].Marks {
			if c := st.Cells[lamp][mark]; c == nil || c.Again {
				if n++; n == 1 {
					first = lamp + " at " + mark
				}
			}
		}
	}
	return n, first
}

// markWord is the verdict on lights at marks in the page's words: none without a target.
func (st *State) markWord(r *ratio.Result) string {
	unread, _ := st.unreadLights()
	judged := false
	for _, m := range r.Marks {
		for _, j := range m.Judged {
			judged = judged || j.FoundStops != nil || j.IntervalStops != nil
		}
	}
	switch {
	case r.Verdict == uncertainty.Fail:
		return saysFail
	case r.Verdict == "":
		return ""
	case !judged:
		return saysNotYet
	case r.Verdict == uncertainty.Pass && unread == 0 && len(st.Questions) == 0:
		return saysPass
	}
	return saysUnsure
}

// doAtMarks is the one thing to do.
func (st *State) doAtMarks(r *ratio.Result) *[2]string {
	unread, first := st.unreadLights()
	switch {
	case len(st.Questions) > 0:
		return &[2]string{"Answer for " + st.Questions[0].Label, st.Questions[0].Text}
	case r.Verdict == uncertainty.Fail && len(r.Advice) > 0:
		text := answers.Sentence(document.Words{}, r.Advice[0])
		if first, rest, found := strings.Cut(text, ": "); found && !strings.Contains(first, ". ") {
			return &[2]string{first, rest}
		}
		first, rest, _ := strings.Cut(text, ". ")
		return &[2]string{strings.TrimSuffix(first, "."), rest}
	case unread > 0:
		return &[2]string{fmt.Sprintf("Read on: %d to go", unread), first}
	case len(r.Advice) > 0:
		return &[2]string{answers.Sentence(document.Words{}, r.Advice[0]), ""}
	}
	return &[2]string{"Leave the lights; note where they stand", "Then hand the report over."}
}

// markRuler is key to fill at each mark, with what the target allows; nil without a target
// or for fewer than two marks.
func markRuler(r *ratio.Result) *ruler {
	t := r.Target
	if t == nil {
		return nil
	}
	out := &ruler{Low: t.Stops - r.ToleranceStops, High: t.Stops + r.ToleranceStops, Allowed: fmt.Sprintf("%s ±%.2f stop", ratio.Format(t.Ratio), r.ToleranceStops)}
	for _, m := range r.Marks {
		for _, j := range m.Judged {
			if j.Of == t.Convention && j.FoundStops != nil {
				out.add(m.Label, *j.FoundStops, true, j.Verdict == uncertainty.Fail)
			}
		}
	}
	if len(out.Ticks) < 2 {
		return nil
	}
	return out
}
