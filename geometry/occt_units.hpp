// Private to geometry/: which length units a STEP file uses for its geometry.
#pragma once

#include <string>
#include <vector>

class StepData_StepModel;

namespace noonshell {

struct FileLengthUnit {
    std::string name;     ///< in lower case, such as "millimetre" or "inch"
    double length_m = 0;  ///< 0 where the file does not say
    bool valid = true;    ///< false: it is an SI unit of another quantity, taken by its prefix
};

/// Each once, in the order of the file. The kernel's own list leaves out the units of parts below
/// the root.
std::vector<FileLengthUnit> length_units_of(const StepData_StepModel& model);

}  // namespace noonshell
