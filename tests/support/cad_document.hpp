// Private to tests: a document of the CAD kernel that is filled with named parts, assemblies and
// placements and written as STEP.
#pragma once

#include <TDF_Label.hxx>
#include <TDocStd_Document.hxx>
#include <TopoDS_Shape.hxx>
#include <XCAFDoc_ShapeTool.hxx>
#include <filesystem>
#include <gp_Trsf.hxx>
#include <string>

#include "geometry/block_writer.hpp"

namespace noonshell::test_support {

/// Lengths of its shapes are millimetres.
class CadDocument {
  public:
    CadDocument();
    TDF_Label part(const TopoDS_Shape& shape, const std::string& name);
    TDF_Label assembly(const std::string& name);
    void place(const TDF_Label& into, const TDF_Label& what, const gp_Trsf& where,
               const std::string& name);
    /// Throws std::runtime_error when the kernel cannot translate or the file cannot be written.
    void write(const std::filesystem::path& file, LengthUnit unit);

  private:
    opencascade::handle<TDocStd_Document> document_;
    opencascade::handle<XCAFDoc_ShapeTool> shapes_;
};

}  // namespace noonshell::test_support
