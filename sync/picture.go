package opsync

import "batterboard/schedule"

// Pictures are files, named by the hash of their bytes, that phones and server hand each other beside
// the log (SPEC K1-K4). Only their names are in operations.

// Want returns the message that asks every phone for picture files the server lacks.
func (h *Hub) Want(files []string) []Send {
	if files = wanted(files); len(files) == 0 || len(h.ready) == 0 {
		return nil
	}
	return []Send{{h.ready, append(appendTexts(begin(msgWant), "files", files), '}')}}
}

// wanted drops what cannot be the name of a picture, and what is too much for one message.
func wanted(files []string) (list []string) {
	for _, name := range files {
		if schedule.ValidFile(name) && len(list) < MaxWanted {
			list = append(list, name)
		}
	}
	return list
}
