package main

import (
	"context"
	"runtime"
)

// queuedPerCore is how many results per core may wait for a slower one before them.
const queuedPerCore = 4

// inOrder calls work for every name, for as many at once as there are cores, and
// take for every result, one at a time, in the order of the names. It returns early
// with the error of take, or with an error when ctx is cancelled; it does not wait
// for work that is still running then.
func inOrder[T any](ctx context.Context, names []string, work func(name string) T, take func(i int, t T) error) error {
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	cores := runtime.GOMAXPROCS(0)
	busy := make(chan struct{}, cores)
	queue := make(chan chan T, queuedPerCore*cores)
	go func() {
		defer close(queue)
		for _, name := range names {
			result := make(chan T, 1)
			select {
			case queue <- result:
			case <-ctx.Done():
				return
			}
			select {
			case busy <- struct{}{}:
			case <-ctx.Done():
				return
			}
			go func() {
				defer func() { <-busy }()
				result <- work(name)
			}()
		}
	}()
	for i := range names {
		select {
		case result := <-queue:
			select {
			case t := <-result:
				if err := take(i, t); err != nil {
					return err
				}
			case <-ctx.Done():
				return saysInterrupted(i, len(names))
			}
		case <-ctx.Done():
			return saysInterrupted(i, len(names))
		}
	}
	return nil
}
