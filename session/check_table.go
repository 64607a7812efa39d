package session

var setupChecks = []Check{}
