// Command manifest holds Kubernetes manifests of Jobs against the API's own types:
// a key they do not have, or a value of another kind, is an error.
package main

import (
	"fmt"
	"os"

	batchv1 "k8s.io/api/batch/v1"
	"sigs.k8s.io/yaml"
)

func main() {
	for _, name := range os.Args[1:] {
		if err := check(name); err != nil {
			fmt.Fprintf(os.Stderr, "%s: %v\n", name, err)
			os.Exit(1)
		}
		fmt.Printf("%s: a Job of %s\n", name, batchv1.SchemeGroupVersion)
	}
}

func check(name string) error {
	text, err := os.ReadFile(name)
	if err != nil {
		return err
	}
	var job batchv1.Job
	if err := yaml.UnmarshalStrict(text, &job); err != nil {
		return err
	}
	if job.APIVersion != batchv1.SchemeGroupVersion.String() || job.Kind != "Job" {
		return fmt.Errorf("it is %s %s, not a Job of %s", job.APIVersion, job.Kind, batchv1.SchemeGroupVersion)
	}
	s := job.Spec
	if s.CompletionMode == nil || *s.CompletionMode != batchv1.IndexedCompletion || s.Completions == nil {
		return fmt.Errorf("it is no Indexed Job with a number of completions")
	}
	for _, e := range s.Template.Spec.Containers[0].Env {
		if e.Name == "SHARDS" && e.Value != fmt.Sprint(*s.Completions) {
			return fmt.Errorf("SHARDS is %s, but completions %d", e.Value, *s.Completions)
		}
	}
	return nil
}
