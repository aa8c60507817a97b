// Private to geometry/: which length units a STEP file uses for its geometry.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

class StepData_StepModel;

namespace noonshell {

struct FileLengthUnit {
    std::string name;     ///< in lower case, such as "millimetre" or "inch"
    double length_m = 0;  ///< 0 where the file does not say
    bool valid = true;    ///< false: it is an SI unit of another quantity, taken by its prefix
};

struct FileLengthUnits {
    /// Each once, in the order of the file. The kernel's own list leaves out the units of parts
    /// below the root.
    std::vector<FileLengthUnit> units;
    /// Geometric contexts that declare no length unit, by entity: the kernel takes their numbers
    /// for metres.
    std::vector<std::uint32_t> contexts_without;
};

/// Throws InputError for a unit that is 0, a negative number or no number of another unit.
FileLengthUnits length_units_of(const StepData_StepModel& model, const std::string& file);

}  // namespace noonshell
