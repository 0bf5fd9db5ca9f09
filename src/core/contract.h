#pragma once

#include <stdexcept>

namespace greywright {

/// A mistake of the programmer: thrown in every build, caught only in `main` and in task runners.
class ContractViolation : public std::logic_error {
  public:
    using std::logic_error::logic_error;
};

/// Throws ContractViolation with `what` unless `holds`.
inline void expects(bool holds, const char* what) {
    if (!holds) throw ContractViolation(what);
}

}  // namespace greywright
