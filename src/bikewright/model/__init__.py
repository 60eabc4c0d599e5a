"""What a bike is: frame and sizes, linkage, parts, build, rider, brief; and the text files they live in."""
