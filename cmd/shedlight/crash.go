package main

import (
	"fmt"
	"os"
	"strings"

	"shedlight/analyse/crash"
)

// sendIt says where the report of a crash is.
const sendIt = "The report is in %s: please send it to us."

// exitCrashed is the code with which the runtime ends a process that crashes.
const exitCrashed = 2

// crashed says what went wrong because of a fault of ours, writes the report, and says
// where that is.
func (p *program) crashed(err error, fault *crash.Crash) {
	report := fmt.Sprintf("shedlight %s\n%v\n%s\n", version(), err, fault.Stack)
	log, failed := openLog(crashLog, os.O_APPEND)
	if failed == nil {
		_, failed = log.WriteString(report)
		log.Close()
	}
	said := fmt.Sprintf("shedlight has crashed: %v\n", err)
	if failed != nil || log.Name() == os.DevNull {
		said += "The report is below: please send it to us.\n" + report
	} else {
		said += fmt.Sprintf(sendIt, log.Name())
	}
	if p.json {
		p.fail("%s", said)
		return
	}
	p.say("%s", strings.TrimSuffix(said, "\n"))
}
