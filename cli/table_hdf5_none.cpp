#include "table_hdf5.hpp"

// A build without the headers of HDF5.
namespace cli {
using namespace bearingdsp;

struct Hdf5 {};

Hdf5Table::Hdf5Table(std::shared_ptr<const Hdf5> library, Hdf5Layout layout)
    : library_{std::move(library)}, layout_{std::move(layout)} {}

Result<Hdf5Table> Hdf5Table::start(Hdf5Layout layout) {
  return Error{Errc::unsupported_format, layout.command,
               "this build cannot write HDF5: it was made without its headers",
               "install them (Debian: libhdf5-dev) and build again, or write " + layout.instead};
}

void Hdf5Table::add(const std::vector<Hdf5Cell>& /*row*/) {}

Result<std::string> Hdf5Table::file() const { return start(layout_).error(); }

}  // namespace cli
