package itemmodel

import "soloright/quiz"

// torqueModels are the models on joints, settings, inspections, tests and faults.
var torqueModels = []quiz.Model{
	setTheWrench,
	loadSteps,
	withAnAdapter,
	bringTheHolesRound,
	workOut,
	acceptTheReading,
	inspectAndDecide,
	passTheTest,
	normalOrFault,
	symptomToCause,
	threadState,
	checkPass,
	tightenAgain,
	cleanWith,
	tightEnough,
	tightenTheJoint,
	whichFastenerWhere,
	whichFastenerNext,
}
