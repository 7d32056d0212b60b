package study

import (
	"cmp"
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"

	"cupel/internal/answer"
	"cupel/internal/dossier"
	"cupel/internal/finding"
	"cupel/internal/trial"
)

// ShardFile is a shard and the file it came from.
type ShardFile struct {
	File string
	answer.Shard
}

// ShardsUnlike is the code of a finding that shards do not make one whole.
const ShardsUnlike = "S010"

// Merge puts shards together to the answer that one run would have given, to
// the bit. Its error is *finding.Errors and names every file that does not
// belong to the others, and every shard that is missing.
func Merge(files []ShardFile) (answer.Predict, error) {
	var l finding.List
	files = onlyShards(&l, files)
	slices.SortStableFunc(files, func(a, b ShardFile) int { return cmp.Compare(a.Shard.Shard, b.Shard.Shard) })
	checkShards(&l, files)
	if err := l.Err(); err != nil {
		return answer.Predict{}, err
	}
	first := files[0]
	d, err := shardDossier(first)
	if err != nil {
		return answer.Predict{}, err
	}
	found, err := sound(d)
	if err != nil {
		return answer.Predict{}, err
	}
	whole, err := join(files)
	if err != nil {
		return answer.Predict{}, err
	}
	runs := restored(whole.Runs)
	p := Prediction{Answer: head(d, found)}
	p.Answer.Seed = first.Seed
	p.Answer.Samples = attach(runs, whole.Spreads, Sampling{Samples: first.Samples, Seed: first.Seed})
	experiment{claims: d.Claims.Claims}.gather(&p, whole.Can, runs)
	return p.Answer, nil
}

// onlyShards leaves out what is no shard.
func onlyShards(l *finding.List, files []ShardFile) []ShardFile {
	var out []ShardFile
	for _, f := range files {
		if f.Answer == "shard" {
			out = append(out, f)
			continue
		}
		refuse(l, f.File, "name files that predict --shard wrote", "it is no shard")
	}
	return out
}

// checkShards says what keeps shards from being one whole.
func checkShards(l *finding.List, files []ShardFile) {
	if len(files) == 0 {
		refuse(l, "", "name the files that predict --shard wrote", "there are no shards to merge")
		return
	}
	first := files[0]
	have := map[int]string{}
	for _, f := range files {
		for _, why := range unlike(first, f) {
			refuse(l, f.File, "merge only shards of one prediction; the first of these is "+first.File, "%s", why)
		}
		if other, twice := have[f.Shard.Shard]; twice && f.Of == first.Of {
			refuse(l, f.File, "leave one of the two out", "it has the numbers of shard %d, which %s has too", f.Shard.Shard, other)
		}
		have[f.Shard.Shard] = f.File
		if !f.Complete {
			refuse(l, f.File, "run it again: "+again(f.Shard), "shard %d of %d is not complete: it was stopped", f.Shard.Shard, f.Of)
		}
	}
	for n := 1; n <= first.Of; n++ {
		if _, ok := have[n]; !ok {
			lost := first.Shard
			lost.Shard = n
			refuse(l, "", "run it alone: "+again(lost), "shard %d of %d is missing", n, first.Of)
		}
	}
}

func refuse(l *finding.List, file, do, format string, args ...any) {
	l.Add(finding.Finding{
		Code: ShardsUnlike, Level: finding.Error, Place: finding.Place{File: file}, Text: fmt.Sprintf(format, args...), Do: do,
	})
}

// unlike says how b is not of one whole with a: "it is of seed 8" that a is not.
func unlike(a, b ShardFile) []string {
	var out []string
	add := func(same bool, format string, args ...any) {
		if !same {
			out = append(out, fmt.Sprintf(format, args...)+" is not that of the others")
		}
	}
	add(a.Inputs == b.Inputs && a.Board == b.Board, "its dossier (%s)", short(string(b.Inputs)))
	add(a.Version == b.Version, "the program it was made by (%s)", b.Version)
	add(a.Seed == b.Seed, "its seed (%d)", b.Seed)
	add(a.Samples == b.Samples, "its number of samples (%d)", b.Samples)
	add(a.Of == b.Of, "its number of shards (%d)", b.Of)
	add(slices.Equal(a.Trials, b.Trials) && slices.Equal(a.Cells, b.Cells), "its choice of trials and cells")
	add(slices.Equal(a.Temperatures, b.Temperatures), "its list of temperatures")
	from, to := Sampling{Samples: b.Samples, Shard: b.Shard.Shard, Of: b.Of}.share()
	if len(out) == 0 && (b.Of < 1 || b.Shard.Shard < 1 || b.Shard.Shard > b.Of || b.From != from || b.To != to) {
		out = append(out, fmt.Sprintf("its samples %d to %d are not those of shard %d of %d", b.From, b.To-1, b.Shard.Shard, b.Of))
	}
	return out
}

// short is the beginning of a hash, enough to tell two apart.
func short(hash string) string { return hash[:min(12, len(hash))] }

// again is the command that makes a shard.
func again(s answer.Shard) string {
	var b strings.Builder
	fmt.Fprintf(&b, "cupel predict DIR --samples %d --seed %d", s.Samples, s.Seed)
	for _, t := range s.Trials {
		fmt.Fprintf(&b, " --trial %s", t)
	}
	for _, k := range s.Cells {
		fmt.Fprintf(&b, " --cell %d", k)
	}
	for i, t := range s.Temperatures {
		sep := ","
		if i == 0 {
			sep = " --temperature="
		}
		fmt.Fprintf(&b, "%s%g", sep, t)
	}
	fmt.Fprintf(&b, " --shard %d/%d -o FILE", s.Shard, s.Of)
	return b.String()
}

// shardDossier reads the dossier that a shard carries, and holds it against the
// hash it was predicted from.
func shardDossier(f ShardFile) (*dossier.Dossier, error) {
	texts := map[string][]byte{}
	for _, t := range f.Texts {
		texts[t.Name] = []byte(t.Text)
	}
	d := dossier.OfTexts(texts)
	var l finding.List
	if d.Hash != string(f.Inputs) {
		refuse(&l, f.File, "run it again: "+again(f.Shard), "the texts it carries are not those it was predicted from")
	}
	return d, l.Err()
}

// join puts what shards computed together.
func join(files []ShardFile) (bulk, error) {
	var l finding.List
	var whole bulk
	for n, f := range files {
		b, err := unpack(f.Data)
		switch {
		case err != nil:
			refuse(&l, f.File, "run it again: "+again(f.Shard), "its data cannot be read: %v", err)
		case n == 0:
			whole = b
		case !same(whole.Runs, b.Runs) || len(whole.Spreads) != len(b.Spreads):
			refuse(&l, f.File, "make all shards on machines of one kind", "its nominal board is not that of %s to the bit", files[0].File)
		default:
			for i, p := range b.Spreads {
				whole.Spreads[i].join(p)
			}
		}
	}
	return whole, l.Err()
}

// same compares runs; a NaN equals a NaN.
func same(a, b []savedRun) bool {
	return len(a) == len(b) && slices.EqualFunc(a, b, func(x, y savedRun) bool {
		return x.Kelvin == y.Kelvin && len(x.Results) == len(y.Results) && slices.EqualFunc(x.Results, y.Results, func(r, s trial.Result) bool {
			v, w := r.Value, s.Value
			r.Value, s.Value = 0, 0
			r.Low, s.Low, r.High, s.High = 0, 0, 0, 0
			return math.Float64bits(v) == math.Float64bits(w) && reflect.DeepEqual(r, s)
		})
	})
}

// join adds the samples and corners of the next shard.
func (p *spread) join(next *spread) {
	if p.Extents == nil {
		p.Extents = next.Extents
	}
	for k := range p.Values {
		p.Values[k] = append(p.Values[k], next.Values[k]...)
		p.Outcomes[k] = append(p.Outcomes[k], next.Outcomes[k]...)
	}
	p.Done = append(p.Done, next.Done...)
	for _, r := range next.Reasons {
		p.why(r)
	}
}
