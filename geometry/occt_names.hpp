// Private to geometry/: names of parts and occurrences that the CAD kernel passes over.
#pragma once

class STEPCAFControl_Reader;
class TDocStd_Document;

namespace noonshell {

/// The kernel takes a name without a single ASCII character for a blank one and falls back on the
/// part's number. Gives such names to the labels of `document`, after the transfer.
void restore_names(const STEPCAFControl_Reader& reader, const TDocStd_Document& document);

}  // namespace noonshell
