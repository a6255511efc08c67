package report

import (
	"topnote/internal/engine"
	"topnote/internal/pass"
)

// Idle is the idle of the pass.
type Idle struct {
	RPM         Speed        `json:"rpm"` // median
	SDRPM       float64      `json:"sd_rpm"`
	FromS       float64      `json:"from_s"`
	ToS         float64      `json:"to_s"`
	Returned    bool         `json:"returned"`   // after the throttle was let go; false: before it was opened
	Settling    bool         `json:"settling"`   // still falling: no settled idle was heard for 1 s, and the deviation holds what it may fall further
	SpreadRPM   float64      `json:"spread_rpm"` // half of the width that holds nine readings in ten
	SpreadSDRPM float64      `json:"spread_sd_rpm"`
	HighestRPM  Speed        `json:"highest_rpm"` // held for 0.5 s
	Hunting     *Oscillation `json:"hunting"`     // null: none
	Drift       *Drift       `json:"drift"`       // null: too short

	// Against the speeds that were entered; null where none was.
	AboveEnteredRPM  *float64 `json:"above_entered_rpm"`
	UnderClutchRPM   *float64 `json:"under_clutch_rpm"` // clutch engagement less HighestRPM; below 0: the chain is driven
	UnderClutchSDRPM *float64 `json:"under_clutch_sd_rpm"`
}

// Rise is the acceleration from idle to full throttle.
type Rise struct {
	FromS             float64 `json:"from_s"`
	ToS               float64 `json:"to_s"`
	TimeS             float64 `json:"time_s"` // from idle to 90 % of the top
	SDS               float64 `json:"sd_s"`
	IdleRPM           Speed   `json:"idle_rpm"` // from
	TopRPM            Speed   `json:"top_rpm"`  // to
	FourStrokingShare float64 `json:"four_stroking_share"`
	SagRPM            float64 `json:"sag_rpm"` // drop of speed on opening; 0: none
	SagSDRPM          float64 `json:"sag_sd_rpm"`
	SagAtS            float64 `json:"sag_at_s"`
}

// Fall is the way back to idle.
type Fall struct {
	FromS   float64 `json:"from_s"`
	ToS     float64 `json:"to_s"`
	TimeS   float64 `json:"time_s"` // from 90 % of the speed before it until back at idle
	SDS     float64 `json:"sd_s"`
	Back    bool    `json:"back"`     // it came back to idle within the recording
	IdleRPM Speed   `json:"idle_rpm"` // the idle that it comes back to
	HangS   float64 `json:"hang_s"`   // time that it hung above idle; 0: it did not
	HangSDS float64 `json:"hang_sd_s"`
	HangRPM Speed   `json:"hang_rpm"`
}

// Cut is the part under load.
type Cut struct {
	RPM               Speed    `json:"rpm"` // median
	SDRPM             float64  `json:"sd_rpm"`
	FromS             float64  `json:"from_s"`
	ToS               float64  `json:"to_s"`
	PulledShare       float64  `json:"pulled_share"` // 0 to 1: how far below the top, as a share of it
	FourStrokingShare float64  `json:"four_stroking_share"`
	CleanShare        float64  `json:"clean_share"`
	FourStrokingSD    float64  `json:"four_stroking_sd"`
	BackS             *float64 `json:"back_s"` // until back at the top; null: not in the recording
	BackSDS           *float64 `json:"back_sd_s"`
}

// Oscillation is a regular rise and fall of a speed that should be constant.
type Oscillation struct {
	PeriodS    float64 `json:"period_s"`
	PeriodSDS  float64 `json:"period_sd_s"`
	DepthRPM   float64 `json:"depth_rpm"` // from low to high
	DepthSDRPM float64 `json:"depth_sd_rpm"`
	Strength   float64 `json:"strength"` // 0 to 1: autocorrelation one period on
}

// Stutter is evidence of a coil that limits speed.
type Stutter struct {
	Belief     float64  `json:"belief"`      // probability, 0 to 1
	RateHz     *float64 `json:"rate_hz"`     // spark cuts per second; null: not told
	DepthShare *float64 `json:"depth_share"` // loss of strength of the firing, 0 to 1; null: not told
}

// Drift is a slow change of speed, above 0 for a climb.
type Drift struct {
	RPMPerS   float64 `json:"rpm_per_s"`
	SDRPMPerS float64 `json:"sd_rpm_per_s"`
}

func newTopEnd(t *pass.TopEnd) *TopEnd {
	if t == nil {
		return nil
	}
	return &TopEnd{
		SustainedRPM:      speed(t.Sustained.Speed),
		SDRPM:             rpm(t.Sustained.SD),
		PeakRPM:           speed(t.Peak.Speed),
		PeakSDRPM:         rpm(t.Peak.SD),
		FromS:             seconds(t.From),
		ToS:               seconds(t.To),
		FourStrokingShare: share(t.FourStroking),
		CleanShare:        share(t.Clean),
		HeldFromS:         seconds(t.HeldFrom),
		HeldToS:           seconds(t.HeldTo),
		Drift:             newDrift(t.Drift),
		Surge:             newOscillation(t.Surge),
		FourStrokingSD:    share(t.FourStrokingSD),
		MostlyFour:        share(t.MostlyFour),
		FiringShares:      firingShares(t.Firing),
		OvershootRPM:      rpm(t.Overshoot.Speed),
		OvershootSDRPM:    rpm(t.Overshoot.SD),
		Stutter:           newStutter(t.Stutter),
	}
}

func firingShares(shares [5]float64) [5]float64 {
	for i := range shares {
		shares[i] = share(shares[i])
	}
	return shares
}

func newStutter(s *pass.Stutter) *Stutter {
	if s == nil {
		return nil
	}
	told := &Stutter{Belief: share(s.Belief)}
	if s.Rate > 0 {
		rate := engine.Round(float64(s.Rate), perRPM)
		told.RateHz = &rate
	}
	if s.Depth > 0 {
		depth := share(s.Depth)
		told.DepthShare = &depth
	}
	return told
}

func newIdle(i *pass.IdleFigures) *Idle {
	if i == nil {
		return nil
	}
	idle := &Idle{
		RPM:         speed(i.Speed.Speed),
		SDRPM:       rpm(i.Speed.SD),
		FromS:       seconds(i.From),
		ToS:         seconds(i.To),
		Returned:    i.After,
		Settling:    i.Settling,
		SpreadRPM:   rpm(i.Spread),
		SpreadSDRPM: rpm(i.SpreadSD),
		HighestRPM:  speed(i.Highest.Speed),
		Hunting:     newOscillation(i.Hunting),
		Drift:       newDrift(i.Drift),
	}
	if i.AboveEntered != 0 {
		above := rpm(i.AboveEntered)
		idle.AboveEnteredRPM = &above
	}
	if i.UnderClutch != nil {
		under, sd := rpm(i.UnderClutch.Speed), rpm(i.UnderClutch.SD)
		idle.UnderClutchRPM, idle.UnderClutchSDRPM = &under, &sd
	}
	return idle
}

func newRise(r *pass.RiseFigures) *Rise {
	if r == nil {
		return nil
	}
	return &Rise{
		FromS:             seconds(r.From),
		ToS:               seconds(r.To),
		TimeS:             seconds(r.Time.Time),
		SDS:               seconds(r.Time.SD),
		IdleRPM:           speed(r.Idle),
		TopRPM:            speed(r.Top),
		FourStrokingShare: share(r.FourStroking),
		SagRPM:            rpm(r.Sag.Speed),
		SagSDRPM:          rpm(r.Sag.SD),
		SagAtS:            seconds(r.SagAt),
	}
}

func newFall(f *pass.FallFigures) *Fall {
	if f == nil {
		return nil
	}
	return &Fall{
		FromS:   seconds(f.From),
		ToS:     seconds(f.To),
		TimeS:   seconds(f.Time.Time),
		SDS:     seconds(f.Time.SD),
		Back:    f.Back,
		IdleRPM: speed(f.Idle),
		HangS:   seconds(f.HangFor.Time),
		HangSDS: seconds(f.HangFor.SD),
		HangRPM: speed(f.HangSpeed),
	}
}

func newCut(c *pass.CutFigures) *Cut {
	if c == nil {
		return nil
	}
	cut := &Cut{
		RPM:               speed(c.Speed.Speed),
		SDRPM:             rpm(c.Speed.SD),
		FromS:             seconds(c.From),
		ToS:               seconds(c.To),
		PulledShare:       share(c.Pulled),
		FourStrokingShare: share(c.FourStroking),
		CleanShare:        share(c.Clean),
		FourStrokingSD:    share(c.FourStrokingSD),
	}
	if c.Recovery != nil {
		back, sd := seconds(c.Recovery.Time), seconds(c.Recovery.SD)
		cut.BackS, cut.BackSDS = &back, &sd
	}
	return cut
}

func newOscillation(s *pass.Oscillation) *Oscillation {
	if s == nil {
		return nil
	}
	return &Oscillation{
		PeriodS: seconds(s.Period), PeriodSDS: seconds(s.PeriodSD),
		DepthRPM: rpm(s.Depth), DepthSDRPM: rpm(s.DepthSD), Strength: share(s.Periodicity),
	}
}

func newDrift(r *pass.Rate) *Drift {
	if r == nil {
		return nil
	}
	return &Drift{RPMPerS: engine.Round(r.PerSecond, perRPM), SDRPMPerS: engine.Round(r.SD, perRPM)}
}
