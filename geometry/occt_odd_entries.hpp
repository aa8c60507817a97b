// Private to geometry/: entries of shells that the CAD kernel passes over without a word, because
// they are no faces with a surface of their own.
#pragma once

#include <StepData_StepModel.hxx>
#include <functional>
#include <string>
#include <vector>

#include "geometry/model.hpp"

namespace noonshell {

/// One for each entry of a connected_face_set (ISO 10303-42) that is an oriented_face, a subface or
/// a face without a surface, an entity that is no face at all, or missing, or that stands in the
/// list before; none is measured.
/// `file_text` is asked only where the kernel did not keep an entry.
std::vector<LeftOut> odd_shell_entries(const StepData_StepModel& model,
                                       const std::function<std::string()>& file_text);

}  // namespace noonshell
