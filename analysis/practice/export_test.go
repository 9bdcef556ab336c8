package practice

// MarkOne marks one answer by references that are known already, as MarkClass would
// in a class of one.
func MarkOne(p Public, r Record, a Answer, references []Reference) Mark {
	marks := []Mark{{Case: newCase(p, r, a, references), HandedIn: !a.Empty()}}
	judge(marks)
	return marks[0]
}
