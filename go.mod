module heelpost

go 1.26
