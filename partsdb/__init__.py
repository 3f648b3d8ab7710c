"""Parts equivalence and supplier vetting for workshops that repair high-pressure fluid equipment."""
