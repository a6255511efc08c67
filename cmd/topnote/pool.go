package main

import (
	"context"
	"runtime"
)

// ahead is how many results for each core may wait for one before them.
const ahead = 4

// inOrder works on names, as many at once as there are cores, and takes what
// came of each in the order of the names. It ends early with the error of take,
// or with an error when ctx ends; what is still being worked on is then left
// alone. take is never called twice at once.
func inOrder[T any](ctx context.Context, names []string, work func(name string) T, take func(i int, t T) error) error {
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	cores := runtime.GOMAXPROCS(0)
	busy := make(chan struct{}, cores)
	queue := make(chan chan T, ahead*cores)
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
