#pragma once

namespace greywright::cli {

/// Lets the libraries' advice name the commands and options of this program.
/// Thread: before others are started.
void sayWhatToType();

}  // namespace greywright::cli
