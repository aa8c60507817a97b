// Private to geometry/: which record and which place of a part of the file a face of the model is.
#pragma once

#include <Eigen/Core>
#include <cstdint>
#include <map>
#include <unordered_map>
#include <utility>
#include <vector>

#include "geometry/model.hpp"
#include "geometry/step_copies.hpp"

namespace noonshell {

/// A part at one place with the bodies of the model that stand there.
struct PlacedBodies {
    std::uint32_t definition = 0;
    std::vector<std::uint32_t> occurrences;  ///< that lead to it from the root
    std::vector<std::size_t> bodies;         ///< of the model
};

class FacePlaces {
  public:
    /// Bodies from `n_bodies` on are not looked for.
    FacePlaces(const StepParts& structure, const Model& model, std::size_t n_bodies,
               double tolerance_m);

    /// Every place of every part that has bodies, in the order of the file. Where the places of a
    /// part cannot be read, all its bodies stand at one place without occurrences.
    const std::vector<PlacedBodies>& placed() const { return placed_; }
    /// Bodies that were found at a place.
    const std::vector<bool>& found() const { return found_; }
    /// The first representation of the part that holds the face; 0 where none does.
    std::uint32_t representation_of(std::uint32_t face) const;

  private:
    void find_owners();
    std::uint32_t owner_of(std::size_t body) const;
    void place(std::uint32_t definition, const std::vector<std::size_t>& bodies);
    /// Corners of a face as the file has them, in its own unit; none for one without vertices.
    const std::vector<Vec3>& corners_of(std::uint32_t face);
    bool stands_at(std::size_t body, const StepPlace& place, double unit_m);

    const StepParts& structure_;
    const Model& model_;
    double tolerance_m_;
    Eigen::Matrix3d to_file_;
    std::unordered_map<std::uint32_t, std::uint32_t> owner_;  ///< definition, by face
    std::unordered_map<std::uint32_t, std::vector<Vec3>> corners_;
    std::vector<PlacedBodies> placed_;
    std::vector<bool> found_;
};

}  // namespace noonshell
