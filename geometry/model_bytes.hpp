// A Model, or an error, as bytes, to pass it from one process to another on one machine.
#pragma once

#include <string>
#include <string_view>

#include "geometry/model.hpp"

namespace noonshell {

std::string to_bytes(const Model& model);

/// Throws InvariantError when the bytes are not those of a model.
Model model_from_bytes(std::string_view bytes);

/// The parts of an InputError, as bytes.
std::string to_bytes(const InputError& error);
InputError input_error_from_bytes(std::string_view bytes);

}  // namespace noonshell
