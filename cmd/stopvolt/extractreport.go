package main

import (
	"stopvolt/analysis"
)

// extractReport is the result of an extraction as JSON.
type extractReport struct {
	Schema   int             `json:"schema"`
	Settings []cutoffsReport `json:"settings"`
	Lines    []lineReport    `json:"lines"`
}

// cutoffsReport holds the cutoffs of one setting.
type cutoffsReport struct {
	Name       string         `json:"name"`
	Wavelength number         `json:"wavelength_nm"`
	Cutoffs    []cutoffReport `json:"cutoffs"`
}

type cutoffReport struct {
	Method   string `json:"method"`
	Stopping number `json:"stopping_V"`
	U        number `json:"u_V"`
	Status   string `json:"status"`
	Reason   string `json:"reason,omitempty"`
	Remark   string `json:"remark,omitempty"`
	// Bootstrap is the uncertainty by the bootstrap, if one was asked for.
	Bootstrap *number `json:"bootstrap_u_V,omitempty"`
}

// lineReport is one line through stopping voltages.
type lineReport struct {
	Method            string   `json:"method"`
	Fit               string   `json:"fit"`
	HOverE            number   `json:"h_over_e_Vs"`
	U                 number   `json:"u_Vs"`
	RelativeDeviation number   `json:"relative_deviation"`
	WorkFunction      number   `json:"collector_work_function_eV"`
	UWorkFunction     number   `json:"u_collector_work_function_eV"`
	DegreesOfFreedom  int      `json:"degrees_of_freedom"`
	Status            string   `json:"status"`
	Reason            string   `json:"reason,omitempty"`
	LeftOut           []string `json:"left_out"`
	// Bootstrap is the uncertainty of h/e by the bootstrap, if one was asked
	// for.
	Bootstrap *number `json:"bootstrap_u_Vs,omitempty"`
}

// newExtractReport turns an extraction into its JSON, with what a bootstrap made
// of it, nil for none.
func newExtractReport(x analysis.Extraction, methods []analysis.Method, drawn *analysis.Bootstrapped) extractReport {
	report := extractReport{Schema: schema, Settings: []cutoffsReport{}}
	for i, s := range x.Settings {
		setting := cutoffsReport{Name: s.Name, Wavelength: number(s.Wavelength)}
		for m, c := range s.Cutoffs {
			setting.Cutoffs = append(setting.Cutoffs, cutoffReport{
				Method: methods[m].Name(), Stopping: number(c.Stopping), U: number(c.U),
				Status: c.Status.String(), Reason: c.Reason, Remark: c.Remark,
			})
			if drawn != nil {
				u := number(drawn.Cutoffs[i][m].Deviation)
				setting.Cutoffs[m].Bootstrap = &u
			}
		}
		report.Settings = append(report.Settings, setting)
	}
	report.Lines = newLineReports(x.Lines)
	if drawn != nil {
		for i := range report.Lines {
			u := number(drawn.Slopes[i].Deviation)
			report.Lines[i].Bootstrap = &u
		}
	}
	return report
}

// newLineReports turns lines into their JSON.
func newLineReports(lines []analysis.MethodLine) []lineReport {
	reports := []lineReport{}
	for _, l := range lines {
		report := lineReport{
			Method: l.Method, Fit: l.Fit, HOverE: none, U: none, RelativeDeviation: none,
			WorkFunction: none, UWorkFunction: none,
			Status: l.Status.String(), Reason: l.Reason, LeftOut: append([]string{}, l.LeftOut...),
		}
		if l.Status == analysis.OK {
			phi, u := l.Line.WorkFunction()
			report.HOverE, report.U = number(l.Line.Slope), number(l.Line.USlope)
			report.RelativeDeviation = number(deviation(l.Line))
			report.WorkFunction, report.UWorkFunction = number(phi), number(u)
			report.DegreesOfFreedom = l.Line.DegreesOfFreedom
		}
		reports = append(reports, report)
	}
	return reports
}
