"""Parts equivalence and supplier vetting for shops that repair high-pressure fluid equipment."""
