// Private to geometry/: faces, bodies and parts that stand in a file and did not reach the model,
// found by comparing its records with what was read.
#pragma once

#include "geometry/model.hpp"

namespace noonshell {

struct OcctDocument;
struct AssemblyTally;

/// Lists in Model::left_out every body of the file none of whose faces was read as one row, and
/// single faces of other bodies, each with its entity, the body or product it belongs to, and its
/// area by the corners in the records, times its places; parts without any geometry; names the
/// faults in the warning "faulty-entities", and bodies whose placement needs a missing record in
/// "placement-lost". Rows that stand there already are completed. The file's text is looked at only
/// where something is amiss. Marks all solids of the file as read in `tally`.
void note_losses(const OcctDocument& loaded, AssemblyTally& tally, Model& model);

}  // namespace noonshell
