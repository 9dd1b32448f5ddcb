package itemmodel

import "soloright/quiz"

// benchModels are the models on isolation, stacks, facings, parts, hazards and the order of work.
var benchModels = []quiz.Model{}
