"""The shop's own files: settings, rights, learned versions, data sheets, and where they lie."""
