#include "table_hdf5.hpp"

// A build without the headers of HDF5.
namespace cli {
using namespace bearingdsp;

struct Hdf5 {};

Hdf5Table::Hdf5Table(std::shared_ptr<const Hdf5> library) : library_{std::move(library)} {}

Result<Hdf5Table> Hdf5Table::start() {
  return Error{Errc::unsupported_format, "export",
               "this build cannot write HDF5: it was made without its headers",
               "install them (Debian: libhdf5-dev) and build again, or write .csv or .jsonl"};
}

void Hdf5Table::add(const PointKey& /*at*/, const Reading& /*reading*/) {}

Result<std::string> Hdf5Table::file() const { return start().error(); }

}  // namespace cli
