import { z } from 'zod';

// The schemas run in browsers under a content security policy without 'unsafe-eval': no generated code.
z.config({ jitless: true });

export { z };
