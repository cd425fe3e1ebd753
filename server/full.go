package main

import "errors"

var errFull = errors.New("the server's disk is nearly full: what is stored is safe, nothing new is taken")
