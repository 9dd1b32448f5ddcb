package itemmodel

import "soloright/quiz"

// benchModels are the models on isolation, stacks, facings, parts, hazards and the order of work.
var benchModels = []quiz.Model{
	buildTheStack, whatGoesInNext, placeTheSplit,
	pickTheFacing, sayTheFacing, oneWayOrEither,
	sortTheBench, howManyGoIn, countTheParts,
	whatGoesOnThisSurface, goesOnOrStaysOff, whichDoYouGreaseNow,
	isolateBeforeOpening, proveZero, pressureThatReturns, easeTheJoint,
	hazardAndControl, guardAgainst,
	whatMustBeDoneFirst, findTheWrongStep, pickTheTools, whereWorkStops,
}
