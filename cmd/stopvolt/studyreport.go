package main

import (
	"stopvolt/analysis/study"
)

// studyReport is the result of a study as JSON.
type studyReport struct {
	Schema      int               `json:"schema"`
	Scenario    string            `json:"scenario"`
	Replicates  int               `json:"replicates"`
	Seed        uint64            `json:"seed"`
	Truth       truthReport       `json:"truth"`
	Recommended recommendedReport `json:"recommended"`
	Cells       []cellReport      `json:"cells"`
	Ranking     []rankReport      `json:"ranking"`
	Methods     []methodReport    `json:"methods"`
}

type truthReport struct {
	HOverE                number          `json:"h_over_e_Vs"`
	CollectorWorkFunction number          `json:"collector_work_function_eV"`
	Settings              []settingTruths `json:"settings"`
}

type settingTruths struct {
	Name     string `json:"name"`
	Stopping number `json:"stopping_V"`
}

type recommendedReport struct {
	ByHand     *choiceReport `json:"by_hand"`
	ByComputer *choiceReport `json:"by_computer"`
}

// choiceReport is a recommended method, with its errors on replicates that had
// no part in the choice.
type choiceReport struct {
	Method       string      `json:"method"`
	Fit          string      `json:"fit"`
	RelativeBias number      `json:"relative_bias"`
	RMSE         number      `json:"rmse"`
	WorstCell    string      `json:"worst_cell"`
	WorstRMSE    number      `json:"worst_rmse"`
	NotToldApart []rowReport `json:"not_told_apart"`
}

// cellReport is how the rows did on one of the cells that the recommendation
// rests on.
type cellReport struct {
	Name    string             `json:"name"`
	Methods []cellMethodReport `json:"methods"`
}

type cellMethodReport struct {
	Method       string `json:"method"`
	Fit          string `json:"fit"`
	RelativeBias number `json:"relative_bias"`
	RMSE         number `json:"rmse"`
	RMSEMCSE     number `json:"rmse_mcse"`
	Replicates   int    `json:"replicates"`
	Failures     int    `json:"failures"`
}

// rankReport is a place in the ranking by root mean square error.
type rankReport struct {
	Method      string `json:"method"`
	Fit         string `json:"fit"`
	RMSE        number `json:"rmse"`
	Gap         number `json:"squared_error_gap"`
	GapMCSE     number `json:"squared_error_gap_mcse"`
	P           number `json:"p_of_gap"`
	N           int64  `json:"n_of_gap"`
	Significant bool   `json:"significant_gap"`
}

type rowReport struct {
	Method string `json:"method"`
	Fit    string `json:"fit"`
}

// methodReport is one row; all but counts and coverages are relative to h/e, or
// to the collector's work function under its own key.
type methodReport struct {
	Method string `json:"method"`
	Fit    string `json:"fit"`
	measuresReport
	CollectorWorkFunction measuresReport  `json:"collector_work_function"`
	Settings              []settingReport `json:"settings"`
}

type measuresReport struct {
	RelativeBias       number `json:"relative_bias"`
	RelativeBiasMCSE   number `json:"relative_bias_mcse"`
	MedianBias         number `json:"median_bias"`
	MedianBiasMCSE     number `json:"median_bias_mcse"`
	EmpiricalSE        number `json:"empirical_se"`
	EmpiricalSEMCSE    number `json:"empirical_se_mcse"`
	RMSE               number `json:"rmse"`
	RMSEMCSE           number `json:"rmse_mcse"`
	MeanU              number `json:"mean_u"`
	MeanUMCSE          number `json:"mean_u_mcse"`
	UError             number `json:"u_error"`
	UErrorMCSE         number `json:"u_error_mcse"`
	Coverage           number `json:"coverage"`
	CoverageMCSE       number `json:"coverage_mcse"`
	CoverageOfAll      number `json:"coverage_failures_as_misses"`
	CoverageOfAllMCSE  number `json:"coverage_failures_as_misses_mcse"`
	CoverageOfMean     number `json:"coverage_bias_eliminated"`
	CoverageOfMeanMCSE number `json:"coverage_bias_eliminated_mcse"`
	Failures           int    `json:"failures"`
	FailuresMCSE       number `json:"failures_mcse"`
}

// settingReport has the measures of a stopping voltage. Dropouts are the
// experiments in which the setting had no cutoff.
type settingReport struct {
	Name            string `json:"name"`
	Bias            number `json:"bias_V"`
	BiasMCSE        number `json:"bias_mcse_V"`
	MedianBias      number `json:"median_bias_V"`
	EmpiricalSE     number `json:"empirical_se_V"`
	EmpiricalSEMCSE number `json:"empirical_se_mcse_V"`
	RMSE            number `json:"rmse_V"`
	RMSEMCSE        number `json:"rmse_mcse_V"`
	MeanU           number `json:"mean_u_V"`
	MeanUMCSE       number `json:"mean_u_mcse_V"`
	Coverage        number `json:"coverage"`
	CoverageMCSE    number `json:"coverage_mcse"`
	Dropouts        int    `json:"dropouts"`
}

func newSettingReport(s study.SettingRow) settingReport {
	m := s.Stopping
	return settingReport{
		Name: s.Name, Dropouts: m.Failures,
		Bias: number(m.Bias.Value), BiasMCSE: number(m.Bias.Error), MedianBias: number(m.MedianBias.Value),
		EmpiricalSE: number(m.EmpiricalSE.Value), EmpiricalSEMCSE: number(m.EmpiricalSE.Error),
		RMSE: number(m.RMSE.Value), RMSEMCSE: number(m.RMSE.Error),
		MeanU: number(m.MeanU.Value), MeanUMCSE: number(m.MeanU.Error),
		Coverage: number(m.Coverage.Value), CoverageMCSE: number(m.Coverage.Error),
	}
}

// newStudyReport turns a result into its JSON.
func newStudyReport(file studyFile, s study.Study, r study.Result, best study.Recommendation) studyReport {
	report := studyReport{
		Schema:     schema,
		Scenario:   file.Scenario,
		Replicates: r.Replicates,
		Seed:       file.Seed,
		Truth: truthReport{
			HOverE:                number(r.Truth.HOverE),
			CollectorWorkFunction: number(r.Truth.CollectorWorkFunction),
		},
		Recommended: recommendedReport{
			ByHand:     newChoiceReport(r, best.ByHand),
			ByComputer: newChoiceReport(r, best.ByComputer),
		},
	}
	for i, v := range r.Truth.Stopping {
		report.Truth.Settings = append(report.Truth.Settings, settingTruths{s.Apparatus.Lights[i].Name, number(v)})
	}
	for _, row := range r.Rows {
		m := methodReport{
			Method:                row.Method,
			Fit:                   row.Fit,
			measuresReport:        newMeasuresReport(row.HOverE),
			CollectorWorkFunction: newMeasuresReport(row.WorkFunction),
		}
		for _, s := range row.Settings {
			m.Settings = append(m.Settings, newSettingReport(s))
		}
		report.Methods = append(report.Methods, m)
	}
	for _, cell := range best.Cells {
		c := cellReport{Name: cell.Name}
		for i, m := range cell.HOverE {
			c.Methods = append(c.Methods, cellMethodReport{r.Rows[i].Method, r.Rows[i].Fit,
				number(m.Bias.Value), number(m.RMSE.Value), number(m.RMSE.Error), m.Replicates, m.Failures})
		}
		report.Cells = append(report.Cells, c)
	}
	for _, rank := range r.Ranking {
		row := r.Rows[rank.Row]
		report.Ranking = append(report.Ranking, rankReport{row.Method, row.Fit, number(row.HOverE.RMSE.Value), number(rank.Gap.Value), number(rank.Gap.Error), number(rank.P), rank.N, rank.Significant})
	}
	return report
}

// newChoiceReport returns nil where no method can be recommended.
func newChoiceReport(r study.Result, c study.Choice) *choiceReport {
	if c.Row < 0 {
		return nil
	}
	report := &choiceReport{
		Method:       r.Rows[c.Row].Method,
		Fit:          r.Rows[c.Row].Fit,
		RelativeBias: number(c.HOverE.Bias.Value),
		RMSE:         number(c.HOverE.RMSE.Value),
		WorstCell:    c.WorstCell,
		WorstRMSE:    number(c.Worst.RMSE.Value),
		NotToldApart: []rowReport{},
	}
	for _, i := range c.Equals {
		report.NotToldApart = append(report.NotToldApart, rowReport{r.Rows[i].Method, r.Rows[i].Fit})
	}
	return report
}

func newMeasuresReport(m study.Measures) measuresReport {
	failed := m.FailureCount()
	return measuresReport{
		RelativeBias: number(m.Bias.Value), RelativeBiasMCSE: number(m.Bias.Error),
		MedianBias: number(m.MedianBias.Value), MedianBiasMCSE: number(m.MedianBias.Error),
		EmpiricalSE: number(m.EmpiricalSE.Value), EmpiricalSEMCSE: number(m.EmpiricalSE.Error),
		RMSE: number(m.RMSE.Value), RMSEMCSE: number(m.RMSE.Error),
		MeanU: number(m.MeanU.Value), MeanUMCSE: number(m.MeanU.Error),
		UError: number(m.UError.Value), UErrorMCSE: number(m.UError.Error),
		Coverage: number(m.Coverage.Value), CoverageMCSE: number(m.Coverage.Error),
		CoverageOfAll: number(m.CoverageOfAll.Value), CoverageOfAllMCSE: number(m.CoverageOfAll.Error),
		CoverageOfMean: number(m.CoverageOfMean.Value), CoverageOfMeanMCSE: number(m.CoverageOfMean.Error),
		Failures: m.Failures, FailuresMCSE: number(failed.Error),
	}
}
