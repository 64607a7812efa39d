package session

var carryChecks = []Check{}
