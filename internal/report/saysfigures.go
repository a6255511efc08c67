package report

import (
	"fmt"
	"math"
	"strings"
)

// The words for the figures of a pass.

// twoSD is how many standard deviations hold 95 in 100 readings (1.96 of a
// normal distribution, rounded up).
const twoSD = 2

// halfBand gives half the width of the band that holds a speed with 95 in 100,
// rounded up to full tens.
func halfBand(sd float64) float64 { return math.Ceil(twoSD*sd/10) * 10 }

func giveOrTake(sd float64) string { return Thousands(halfBand(sd)) }

// sure reports whether a figure is further from nothing than its uncertainty.
func sure(v, sd float64) bool { return math.Abs(v) > twoSD*sd }

func parts(says ...string) string {
	var told []string
	for _, s := range says {
		if s != "" {
			told = append(told, s)
		}
	}
	return strings.Join(told, "; ")
}

// saysSteady says how a speed that ought to stand still moved, empty where
// nothing is sure.
func saysSteady(t TopEnd) string { return parts(saysDrift(t.Drift), saysSwing("surges", t.Surge)) }

func saysDrift(d *Drift) string {
	if d == nil || !sure(d.RPMPerS, d.SDRPMPerS) || math.Round(d.RPMPerS) == 0 {
		return ""
	}
	way := "climbs"
	if d.RPMPerS < 0 {
		way = "falls"
	}
	return fmt.Sprintf("%s by %s rpm a second", way, Thousands(math.Abs(d.RPMPerS)))
}

func saysSwing(how string, s *Swing) string {
	if s == nil {
		return ""
	}
	return fmt.Sprintf("%s by %s rpm every %.1f s", how, Thousands(s.DepthRPM), s.PeriodS)
}

func saysIdle(i Idle) string {
	return parts(
		fmt.Sprintf("%s rpm, give or take %s", i.RPM, giveOrTake(i.SDRPM)),
		saysSwing("hunts", i.Hunting), saysDrift(i.Drift),
		saysBeside(i.AboveEnteredRPM, "above", "below", "the idle speed entered"),
		saysBeside(i.UnderClutchRPM, "under", "over", "the clutch engagement speed"))
}

// saysBeside says on which side of an entered speed a figure lies.
func saysBeside(v *float64, more, less, of string) string {
	if v == nil {
		return ""
	}
	side := more
	if *v < 0 {
		side = less
	}
	return fmt.Sprintf("%s rpm %s %s", Thousands(math.Abs(*v)), side, of)
}

func saysRise(r Rise) string {
	sag := ""
	if r.SagRPM > 0 && sure(r.SagRPM, r.SagSDRPM) {
		sag = fmt.Sprintf("fell back by %s rpm at %.1f s", Thousands(r.SagRPM), r.SagAtS)
	}
	return parts(fmt.Sprintf("%.2f s from %s rpm to 90 %% of %s rpm", r.TimeS, r.IdleRPM, r.TopRPM), sag)
}

func saysCut(c Cut) string {
	back := ""
	if c.BackS != nil {
		back = fmt.Sprintf("back at the top after %.1f s", *c.BackS)
	}
	return parts(
		fmt.Sprintf("%s rpm, give or take %s, %s below the top", c.RPM, giveOrTake(c.SDRPM), percent(c.PulledShare)),
		fmt.Sprintf("four-stroking %s of the time, clean %s", percent(c.FourStrokingShare), percent(c.CleanShare)),
		back)
}

func saysFall(f Fall) string {
	back := fmt.Sprintf("%.1f s until back at idle", f.TimeS)
	if !f.Back {
		back = fmt.Sprintf("not back at idle after %.1f s", f.TimeS)
	}
	hang := ""
	if f.HangS > 0 && sure(f.HangS, f.HangSDS) {
		hang = fmt.Sprintf("hung at %s rpm for %.1f s", f.HangRPM, f.HangS)
	}
	return parts(back, hang)
}
