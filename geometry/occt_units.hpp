// Private to geometry/: which length units a STEP file uses for its geometry.
#pragma once

#include <string>
#include <vector>

class StepData_StepModel;

namespace noonshell {

/// Names in lower case, such as "millimetre" or "inch", each once, in the order of the file. The
/// kernel's own list leaves out the units of parts below the root.
std::vector<std::string> length_units_of(const StepData_StepModel& model);

}  // namespace noonshell
