# Warnings are errors in every preset but release: whoever only installs may have any compiler.
option(GREYWRIGHT_WERROR "Treat warnings as errors" ON)
add_library(greywright_warnings INTERFACE)
if(CMAKE_CXX_COMPILER_ID MATCHES "GNU|Clang")
  target_compile_options(greywright_warnings INTERFACE
    -Wall -Wextra -Wpedantic -Wconversion -Wsign-conversion -Wshadow -Wnon-virtual-dtor
    -Wold-style-cast -Wno-missing-field-initializers -Wcast-qual -Wformat=2 -Wundef -Wimplicit-fallthrough
    $<$<BOOL:${GREYWRIGHT_WERROR}>:-Werror>)
  # GCC 12 sees overlap in `"text" + std::string` where there is none (its bug 105651).
  if(CMAKE_CXX_COMPILER_ID STREQUAL "GNU" AND CMAKE_CXX_COMPILER_VERSION VERSION_LESS 13)
    target_compile_options(greywright_warnings INTERFACE -Wno-restrict)
  endif()
elseif(MSVC)
  target_compile_options(greywright_warnings INTERFACE /W4 /utf-8 $<$<BOOL:${GREYWRIGHT_WERROR}>:/WX>)
endif()
