module batterboard

go 1.26
