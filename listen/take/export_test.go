package take

// RecoverWith is Recover on another file system.
func RecoverWith(files Files, dir string) ([]string, error) { return recoverAll(files, dir, nil) }
