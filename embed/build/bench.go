package main

func (t *tool) bench(args []string) error { return nil }
