package main

import (
	"fmt"
	"math"

	"stopvolt/analysis/practice"
)

// practiceReport is a marked set as JSON.
type practiceReport struct {
	Schema   int             `json:"schema"`
	Level    string          `json:"level"`
	Blind    bool            `json:"blind"`
	Students []studentReport `json:"students"`
}

type studentReport struct {
	practice.Student
	HandedIn     bool                   `json:"handed_in"`
	Points       number                 `json:"points"`
	Of           number                 `json:"of"`
	Proposed     number                 `json:"proposed_points"`
	Reason       string                 `json:"reason,omitempty"`
	Method       string                 `json:"method"`
	Truth        practiceTruthReport    `json:"truth"`
	HOverE       number                 `json:"h_over_e_Vs"`
	Deviation    number                 `json:"relative_deviation"`
	DeviationInU number                 `json:"deviation_in_u"`
	Uncertainty  string                 `json:"uncertainty"`
	Steps        []practiceStepReport   `json:"steps"`
	Findings     []findingReport        `json:"findings"`
	Methods      []practiceMethodReport `json:"methods"`
}

type practiceTruthReport struct {
	HOverE    number `json:"h_over_e_Vs"`
	Collector number `json:"collector_work_function_eV"`
	Emitter   number `json:"emitter_work_function_eV"`
	Fault     string `json:"fault,omitempty"`
}

type practiceStepReport struct {
	Step    string `json:"step"`
	Points  number `json:"points"`
	Of      number `json:"of"`
	Given   bool   `json:"given"`
	Follows bool   `json:"follows"`
}

type findingReport struct {
	Name     string   `json:"name"`
	Step     string   `json:"step"`
	Looks    string   `json:"looks"`
	Settings []string `json:"settings,omitempty"`
	Given    number   `json:"given"`
	Expected number   `json:"expected"`
	Unit     string   `json:"unit,omitempty"`
	Text     string   `json:"text,omitempty"`
	Other    string   `json:"other_student_id,omitempty"`
}

// practiceMethodReport is what a method makes of a student's own readings.
type practiceMethodReport struct {
	Method    string   `json:"method"`
	Stopping  []number `json:"stopping_V"`
	HOverE    number   `json:"h_over_e_Vs"`
	Deviation number   `json:"relative_deviation"`
}

// newPracticeReport turns marks into their JSON.
func newPracticeReport(p practice.Public, marks []practice.Mark) practiceReport {
	report := practiceReport{Schema: schema, Level: p.Level, Blind: p.Blind, Students: []studentReport{}}
	for _, m := range marks {
		report.Students = append(report.Students, newStudentReport(m))
	}
	return report
}

func newStudentReport(m practice.Mark) studentReport {
	proposed, of := m.Proposed()
	relative, inU := m.Deviation()
	r := studentReport{
		Student: m.Student, HandedIn: m.HandedIn, Points: number(m.Points()), Of: number(of), Proposed: number(proposed),
		Method: m.Answer.Method, HOverE: number(m.HOverE()), Deviation: number(relative), DeviationInU: number(inU),
		Uncertainty: string(m.Uncertainty()), Findings: []findingReport{},
		Truth: practiceTruthReport{number(m.Truth.HOverE), number(m.Truth.CollectorWorkFunction), number(m.Truth.EmitterWorkFunction), m.Truth.Fault},
	}
	if m.Override != nil {
		r.Reason = m.Override.Reason
	}
	for _, s := range m.Steps {
		r.Steps = append(r.Steps, practiceStepReport{string(s.Group), number(s.Points), number(s.Of), s.Given, s.Follows})
	}
	for _, f := range m.Findings {
		e := f.Evidence
		r.Findings = append(r.Findings, findingReport{f.Check.Name, string(f.Check.Group), f.Check.Looks, e.Settings, number(e.Given), number(e.Expected), e.Unit, e.Text, e.Other})
	}
	for _, x := range m.References {
		method := practiceMethodReport{Method: x.Method, HOverE: number(x.HOverE), Deviation: number(x.HOverE/m.Truth.HOverE - 1)}
		for _, v := range x.Stopping {
			method.Stopping = append(method.Stopping, number(v))
		}
		r.Methods = append(r.Methods, method)
	}
	return r
}

// orDash prints a number with its sign, and a dash for none.
func orDash(x float64) string {
	if math.IsNaN(x) {
		return "-"
	}
	return fmt.Sprintf("%+.1f", x)
}
