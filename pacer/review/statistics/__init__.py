"""General statistics that several questions use."""
