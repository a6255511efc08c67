package report

import (
	"strings"

	"topnote/internal/clip"
	"topnote/internal/engine"
	"topnote/internal/pass"
	"topnote/internal/quality"
	"topnote/internal/shaft"
	"topnote/internal/verdict"
)

// Parts is what New makes a report of: the result of each step.
type Parts struct {
	Clip    clip.Info
	Query   engine.Machine // the engine and the limits as the user entered them
	Track   shaft.Track
	Pass    pass.Summary
	Quality quality.Quality
	Verdict verdict.Verdict

	Openings []Opening // each judged by itself; none of a clip that has one or none
}

// The resolution of a report, as steps per unit: 0.1 rpm, 1 ms, 0.001 of a share,
// 0.1 dB, 0.01 %.
const (
	perRPM     = 10
	perSecond  = 1000
	perShare   = 1000
	perDecibel = 10
	perPercent = 100
)

// New makes the report of one clip. It only copies and rounds. Lists that JSON must
// show as empty are empty, not nil.
func New(p Parts) Report {
	return Report{
		Schema:  Schema,
		Clip:    newClip(p.Clip),
		Engine:  newEngine(p.Query),
		Limits:  newLimits(p.Query.Limits),
		Track:   newTrack(p.Track.Points),
		Phases:  newPhases(p.Pass.Phases),
		TopEnd:  newTopEnd(p.Pass.TopEnd),
		Idle:    newIdle(p.Pass.Idle),
		Rise:    newRise(p.Pass.Rise),
		Fall:    newFall(p.Pass.Fall),
		Cut:     newCut(p.Pass.Cut),
		Quality: newQuality(p.Quality, p.Clip),
		Verdict: newVerdict(p.Verdict),
		State:   p.Query.State,

		Openings: p.Openings,
	}
}

func newClip(c clip.Info) Clip {
	return Clip{
		File:         c.File,
		SHA256:       c.SHA256,
		DurationS:    seconds(c.Duration),
		SampleRateHz: float64(c.SampleRate),
		Channels:     c.Channels,
		Container:    c.Container,
		Codec:        c.Codec,
		Used:         c.Used,
		Remarks:      c.Remarks,
	}
}

// Entries gives the engine and the limits as a report has them: the inverse of Query.
func Entries(m engine.Machine) (Engine, Limits) { return newEngine(m), newLimits(m.Limits) }

func newEngine(m engine.Machine) Engine {
	e := Engine{Strokes: m.Spec.Strokes, Cylinders: m.Spec.Cylinders, Build: m.Build}
	e.Tolerance = engine.RPM(rpm(e.Tolerance))
	return e
}

// Query gives the engine and limits of a report as the measurement takes them. What
// is known of one pass only, its State, is not among them.
func Query(e Engine, l Limits) engine.Machine {
	return engine.Machine{
		Spec:   engine.Spec{Strokes: e.Strokes, Cylinders: e.Cylinders},
		Build:  e.Build,
		Limits: engine.Limits{Max: engine.RPM(l.MaxRPM), Idle: engine.RPM(l.IdleRPM), Clutch: engine.RPM(l.ClutchRPM)},
	}
}

func newLimits(l engine.Limits) Limits {
	return Limits{MaxRPM: speed(l.Max), IdleRPM: speed(l.Idle), ClutchRPM: speed(l.Clutch)}
}

func newTrack(points []shaft.Point) []Point {
	track := make([]Point, len(points))
	for i, p := range points {
		track[i] = Point{
			TimeS:         seconds(p.At),
			RPM:           speed(p.Speed),
			SDRPM:         rpm(p.SD),
			Confidence:    share(p.Right()),
			FiresEveryRev: int(p.Fires),

			FiringConfidence: share(p.FiringConfidence()),
		}
	}
	return track
}

func newPhases(phases []pass.Phase) []Phase {
	list := make([]Phase, len(phases))
	for i, p := range phases {
		list[i] = Phase{
			Kind:              string(p.Kind),
			FromS:             seconds(p.From),
			ToS:               seconds(p.To),
			RPMMedian:         speed(p.Median),
			RPMMin:            speed(p.Min),
			RPMMax:            speed(p.Max),
			FourStrokingShare: share(p.FourStroking),
		}
	}
	return list
}

func newQuality(q quality.Quality, c clip.Info) Quality {
	out := Quality{ClippedPct: engine.Round(c.ClippedPct, perPercent), Problems: []Problem{}}
	if q.SNR != nil {
		snr := float64(*q.SNR)
		out.SNRdB = roundOrNil(&snr, perDecibel)
	}
	if c.HighEdge > 0 {
		edge := engine.Round(float64(c.HighEdge), 1)
		out.BandwidthHz = &edge
	}
	for _, p := range q.Problems {
		out.Problems = append(out.Problems, Problem{Code: string(p.Code), Says: p.Says + " " + p.Do})
	}
	return out
}

func newVerdict(v verdict.Verdict) Verdict {
	return Verdict{
		Code:            string(v.Code),
		Says:            v.Says,
		Advice:          append([]string{}, v.Advice...),
		Cautions:        append([]string{}, v.Cautions...),
		OtherReadingRPM: speed(v.Alternative),
		Findings:        newFindings(v.Findings),
		Asks:            strings.ReplaceAll(v.Asks, "-", "_"),
	}
}

func newFindings(findings []verdict.Finding) []Finding {
	list := make([]Finding, len(findings))
	for i, f := range findings {
		list[i] = Finding{Code: f.Code, Says: f.Says, Causes: append([]string{}, f.Causes...), Advice: f.Advice}
	}
	return list
}

func speed(v engine.RPM) Speed         { return Speed(rpm(v)) }
func rpm(v engine.RPM) float64         { return engine.Round(float64(v), perRPM) }
func seconds(v engine.Seconds) float64 { return engine.Round(float64(v), perSecond) }
func share(v float64) float64          { return engine.Round(v, perShare) }
